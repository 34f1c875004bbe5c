import { describe, expect, it } from 'vitest';
import { originOf } from './imagery';

describe('imagery', () => {
  it('names the one host that the policy must allow', () => {
    expect(originOf('https://imagery.example/tile/{z}/{y}/{x}')).toBe('https://imagery.example');
    expect(originOf('https://imagery.example:8443/{z}')).toBe('https://imagery.example:8443');
    expect(originOf('/tiles/{z}/{x}/{y}')).toBeUndefined();
  });
});
