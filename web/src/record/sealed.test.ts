import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import { Seal } from './sealed';

describe('Seal', () => {
  it('opens what it closed, and shows nothing of it', async () => {
    const seal = await Seal.forNow();
    const sealed = await seal.close({ family: 'LINDQUIST' });
    expect(new TextDecoder().decode(sealed.data)).not.toContain('LINDQUIST');
    expect(await seal.open(sealed)).toEqual({ family: 'LINDQUIST' });
  });
  it('refuses what was changed, and what another key closed', async () => {
    const seal = await Seal.forNow();
    const sealed = await seal.close('x');
    const changed = new Uint8Array(sealed.data.slice(0));
    changed[0] = (changed[0] ?? 0) ^ 1;
    await expect(seal.open({ iv: sealed.iv, data: changed.buffer })).rejects.toThrow();
    await expect((await Seal.forNow()).open(sealed)).rejects.toThrow();
  });
  it('never uses a number twice', async () => {
    const seal = await Seal.forNow();
    const [a, b] = await Promise.all([seal.close('x'), seal.close('x')]);
    expect(a.iv).not.toEqual(b.iv);
  });
  it('keeps one key for the device', async () => {
    const first = await Seal.ofThisDevice('test-key');
    const sealed = await first.close('x');
    expect(await (await Seal.ofThisDevice('test-key')).open(sealed)).toBe('x');
  });
});
