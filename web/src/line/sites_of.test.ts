import { expect, it } from 'vitest';
import type { LineState } from '../engine/generated/shapes';
import { sitesOf } from './sites_of';

const now = Date.parse('2026-11-25T10:00:00Z');
const state = (id: string, number: string, more: Partial<LineState>): LineState =>
  ({ id, patient: { number, family: 'X', given: 'Y', restrictions: [] }, attempts: [], ...more }) as unknown as LineState;
const at = (region: string): { side: 'left'; region: string; vein: string } => ({ side: 'left', region, vein: '' });
const placement = { at: '2026-11-20T10:00:00Z', author: '', placed: { site: at('wrist_back'), gauge: 20, length: {} } } as unknown as NonNullable<LineState['placement']>;
const removal = { at: '2026-11-24T10:00:00Z', author: '', catheter_short: false, removed: { reason: 'phlebitis' } } as unknown as NonNullable<LineState['removal']>;
const attempts = [
  { at: '2026-11-25T09:00:00Z', attempt: { outcome: 'no_flashback', clinician: '', site: at('hand_back'), gauge: 22 } },
  { at: '2026-11-25T09:10:00Z', attempt: { outcome: 'placed', clinician: '', site: at('forearm_middle'), gauge: 22 } },
] as unknown as LineState['attempts'];

it('shows the line now in, the failed attempts and the lines before it, latest first, of this patient alone', () => {
  const own = state('1', 'N1', { attempts });
  const { current, past } = sitesOf(own, [own, state('2', 'N1', { placement, removal }), state('3', 'N2', { placement, removal }), state('4', 'N1', { placement })], now);
  expect(current.map((one) => one.region)).toEqual(['wrist_back']);
  expect(past.map((one) => one.region)).toEqual(['hand_back', 'wrist_back']);
  expect(past[0]?.label).toMatch(/^tried, failed: No blood in the chamber, /);
  expect(past[0]?.faded).toBeLessThan(past[1]?.faded ?? 0);
});
it('takes no lines of others for those of a patient without a number', () => {
  const own = state('1', '', {});
  expect(sitesOf(own, [own, state('2', '', { placement, removal })], now).past).toEqual([]);
});
