import { expect, it } from 'vitest';
import { inOrder, type Order } from './in_order';
import type { CareLineDue } from '../engine/generated/shapes';

const due = (line: string, bed: string, nurse: string): CareLineDue => ({ line, unit: '', bed, nurse, patient: '', site: '', urgency: 0, items: [], findings: [] });
const ward = [due('1', '10', 'B. Cole'), due('2', '9', ''), due('3', '9', 'A. Berg'), due('4', '1', 'B. Cole'), due('5', '10', '')];
const lines = (order: Order): string => inOrder(ward, order, (line) => (line === '4' ? 'B' : 'A')).map((one) => one.line).join('');

it('leaves the engine’s order alone', () => expect(lines('urgency')).toBe('12345'));
it('goes unit by unit and bed by bed, as one walks', () => expect(lines('bed')).toBe('23154'));
it('begins with the lines of nobody, and keeps urgency within a nurse', () => expect(lines('nurse')).toBe('25314'));
