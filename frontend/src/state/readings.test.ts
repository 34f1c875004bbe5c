import { expect, test } from 'vitest';
import { allRead, reading, stillReading } from './readings';

test('waits for every entry, those begun meanwhile too', async () => {
  expect(stillReading()).toBe(false);
  const finish: ((right: boolean) => void)[] = [];
  const begin = () => reading(new Promise((done) => finish.push(done)));
  begin();
  begin();
  const all = allRead();
  finish[0]!(true);
  begin();
  finish[1]!(true);
  await new Promise((done) => setTimeout(done));
  expect(stillReading()).toBe(true);
  finish[2]!(true);
  expect(await all).toBe(true);
  expect(stillReading()).toBe(false);
});

test.each([
  ['was wrong', () => Promise.resolve(false)],
  ['could not be asked about', () => Promise.reject(new Error('the core stopped'))],
])('says when an entry %s', async (_what, entry) => {
  reading(entry());
  reading(Promise.resolve(true));
  expect(await allRead()).toBe(false);
});
