import { expect, test } from 'vitest';
import { Latest } from './latest';

const after = <T>(ms: number, value: T): Promise<T> => new Promise((done) => setTimeout(() => done(value), ms));

test('an answer that comes after a newer question was asked is dropped, in whichever order they come', async () => {
  const latest = new Latest();
  expect(await Promise.all([latest.of(after(20, 'old')), latest.of(after(1, 'new'))])).toEqual([null, 'new']);
  expect(await Promise.all([latest.of(after(1, 'old')), latest.of(after(20, 'new'))])).toEqual([null, 'new']);
});

test('what is not wanted any more is dropped, and the next question counts again', async () => {
  const latest = new Latest();
  const asked = latest.of(after(1, 'gone'));
  latest.drop();
  expect(await asked).toBeNull();
  expect(await latest.of(after(1, 'asked anew'))).toBe('asked anew');
});

test('only the last is told', async () => {
  const latest = new Latest();
  const told: string[] = [];
  latest.tell(after(20, 'old'), (one) => told.push(one));
  latest.tell(after(1, 'new'), (one) => told.push(one));
  await after(40, null);
  expect(told).toEqual(['new']);
});

test('one that fails says so, and stops nothing', async () => {
  const latest = new Latest();
  await expect(latest.of(Promise.reject(new Error('no engine')))).rejects.toThrow('no engine');
  expect(await latest.of(after(1, 'there'))).toBe('there');
});
