import { beforeEach, describe, expect, it } from 'vitest';
import { allowImagery, imageryOrigin } from './imagery';

describe('the origin of a tile address', () => {
  it.each([
    ['https://imagery.example/{z}/{x}/{y}.png', 'https://imagery.example'],
    ['http://127.0.0.1:9000/{z}/{y}/{x}?key=1', 'http://127.0.0.1:9000'],
    ['/tiles/{z}/{x}/{y}', undefined],
    ['http://own.example/tiles/{z}/{x}/{y}', undefined],
    ['data:image/png;base64,', undefined],
    ['https://', undefined],
  ])('%s', (address, origin) => {
    expect(imageryOrigin(address, 'http://own.example')).toBe(origin);
  });
});

describe('allowing imagery', () => {
  beforeEach(() => {
    allowImagery(undefined);
  });

  it('asks for a new page when the host changes, and only then', () => {
    expect(allowImagery('https://imagery.example/{z}/{x}/{y}')).toBe(true);
    expect(document.cookie).toBe('evenfall-imagery=https%3A%2F%2Fimagery.example');
    expect(allowImagery('https://imagery.example/other/{z}/{x}/{y}')).toBe(false);
    expect(allowImagery('/tiles/{z}/{x}/{y}')).toBe(true);
    expect(document.cookie).toBe('');
    expect(allowImagery(undefined)).toBe(false);
  });
});
