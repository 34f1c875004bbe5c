import { afterEach, describe, expect, it, vi } from 'vitest';
import { originOf, servedTiles } from './imagery';

describe('imagery', () => {
  it('names the one host that the policy must allow', () => {
    expect(originOf('https://imagery.example/tile/{z}/{y}/{x}')).toBe('https://imagery.example');
    expect(originOf('https://imagery.example:8443/{z}')).toBe('https://imagery.example:8443');
    expect(originOf('/tiles/{z}/{x}/{y}')).toBeUndefined();
  });

  afterEach(() => vi.unstubAllGlobals());
  const answered = (reply: () => Promise<Response>) => {
    vi.stubGlobal('fetch', reply);
    return servedTiles();
  };
  it('is offered from the program where it serves a tile file, and only there', async () => {
    const json = (body: object) => () => Promise.resolve(new Response(JSON.stringify(body)));
    expect(await answered(json({ name: 'North fields', path: '/tiles/{z}/{x}/{y}' }))).toMatchObject({ name: 'North fields' });
    expect(await answered(json({}))).toBeUndefined();
    expect(await answered(() => Promise.resolve(new Response('', { status: 404 })))).toBeUndefined();
    expect(await answered(() => Promise.reject(new TypeError('no network')))).toBeUndefined();
  });
});
