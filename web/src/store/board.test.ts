import { describe, expect, it } from 'vitest';
import { otherWards, readBoard, withEveryLine } from './board';
import type { CareLineDue, LineState, ServerBoard } from '../engine/generated/shapes';

const page = (ids: string[], trueAt: string, next?: string): ServerBoard => ({
  now: '2026-11-25T10:00:00Z', true_at: trueAt, sequence: Number(trueAt.slice(17, 19)), policy: '', due: [], visits: [],
  states: ids.map((id) => ({ id, stage: 'dwelling', nurse: '', place: { unit: '', bed: '4' }, patient: { family: 'F', given: 'G' } }) as LineState),
  ...(next === undefined ? {} : { next }),
});
const at = (seconds: string): string => `2026-11-25T09:59:${seconds}Z`;

describe('readBoard', () => {
  const pages: Record<string, ServerBoard> = { 'api/ward': page(['a', 'b'], at('30'), 'b'), 'api/ward?after=b': page(['c'], at('20'), 'c'), 'api/ward?after=c': page(['d'], at('40')) };
  const ask = async (address: string): Promise<string> => JSON.stringify(pages[address] ?? expect.fail(address));
  it('is all pages, and as old as the oldest', async () => {
    const board = await readBoard(ask);
    expect(board.states.map(({ id }) => id)).toEqual(['a', 'b', 'c', 'd']);
    expect([board.true_at, board.sequence, board.inPages]).toEqual([at('20'), 20, true]);
  });
  it('names each line that could not be worked out, on whichever page it was met, once', async () => {
    const missing = { line: 'x', reason: 'why' };
    const withOne = async (address: string): Promise<string> => JSON.stringify({ ...pages[address], ...(address === 'api/ward' ? {} : { not_folded: [missing] }) });
    expect((await readBoard(withOne)).not_folded).toEqual([missing]);
    expect((await readBoard(ask)).not_folded).toEqual([]);
  });
  it('is nothing when one page is missing, and comes to an end', async () => {
    await expect(readBoard(async (address) => (address.endsWith('=c') ? '<html>' : ask(address)))).rejects.toThrow();
    await expect(readBoard(async () => JSON.stringify(page(['a'], at('30'), 'a')))).rejects.toThrow('no end');
  });
});

it('no line is missing because it is not known what falls due on it', () => {
  const { states } = page(['a', 'b'], at('30'));
  const known = { line: 'a', items: [{}] } as CareLineDue;
  expect(withEveryLine([known], states)[1]?.unknown).toBe(true);
  expect(withEveryLine([known], states).map(({ line }) => line)).toEqual(['a', 'b']);
  expect(withEveryLine([known], [{ ...states[1], stage: 'closed' } as LineState])).toEqual([known]);
  expect(withEveryLine([known], states, ['b'])).toEqual([known]); // the engine says that it is listed no longer
});

it('a ward that nobody here knows is asked about, with those that are known', () => {
  const on = (unit: string, stage: LineState['stage'] = 'dwelling'): Pick<LineState, 'place' | 'stage'> => ({ stage, place: { facility: '', unit, bed: '4' } });
  const lines = [on('Ward 5'), on('Ward 3'), on('Ward 5'), on(''), on('Ward 9', 'closed')];
  expect(otherWards('Wrad 3', lines, 'Ward 7')).toEqual(['Ward 3', 'Ward 5', 'Ward 7']);
  expect(otherWards('Ward 9', lines, '')).toEqual(['Ward 3', 'Ward 5']);
  for (const known of ['Ward 3', ' Ward 5 ', 'Ward 7', '']) expect(otherWards(known, lines, 'Ward 7')).toBeNull();
  expect(otherWards('Ward 1', [], '')).toBeNull();
});
