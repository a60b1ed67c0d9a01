// Moments as a ward writes them: 24-hour clock, the month as a word, spans with the biggest unit first.
import { text } from '../text/text';
import { day, hour, minute, second } from './spans';


const two = (n: number): string => String(n).padStart(2, '0');

/** "14:05" */
export function clockTime(at: number): string {
  const date = new Date(at);
  return `${two(date.getHours())}:${two(date.getMinutes())}`;
}

/** "25 Nov 2026" */
export function dateText(at: number): string {
  const date = new Date(at);
  return `${date.getDate()} ${text.months[date.getMonth()] ?? ''} ${date.getFullYear()}`;
}

/** A calendar date without a time zone: "1948-03-07" is "7 Mar 1948". */
export function calendarDate(iso: string): string {
  const [year, month, dayOfMonth] = iso.split('-').map(Number);
  return `${dayOfMonth ?? ''} ${text.months[(month ?? 0) - 1] ?? ''} ${year ?? ''}`;
}

/** "Wed 25" */
export function dayText(at: number): string {
  const date = new Date(at);
  return `${text.days[date.getDay()] ?? ''} ${date.getDate()}`;
}

/** "14:05" today, "24 Nov 14:05" on another day. */
export function momentText(at: number, now: number): string {
  const sameDay = new Date(at).toDateString() === new Date(now).toDateString();
  return sameDay ? clockTime(at) : `${dateText(at).slice(0, -5)} ${clockTime(at)}`;
}

/** "2 d 5 h", "3 h 10 min", "40 s": at most two whole units; what is over is dropped. */
export function spanText(span: number): string {
  const units = [
    ['d', day],
    ['h', hour],
    ['min', minute],
    ['s', second],
  ] as const;
  const whole = Math.abs(span);
  const first = units.findIndex(([, size]) => whole >= size);
  if (first < 0) return '0 s';
  const parts: string[] = [];
  let rest = whole;
  for (const [name, size] of units.slice(first, first + 2)) {
    const count = Math.floor(rest / size);
    rest -= count * size;
    if (count > 0) parts.push(`${count} ${name}`);
  }
  return parts.join(' ');
}

/** "45 min", "1 h 15 min", "9 h", "1 d 4 h": as fine as a wait of that length asks for; what is over is dropped. */
export function waitText(span: number): string {
  const whole = Math.abs(span);
  if (whole < 2 * hour) return spanText(Math.max(minute, Math.floor(whole / minute) * minute));
  return spanText(Math.floor(whole / hour) * hour);
}

/** A running clock: "0:09", "1:05", "12:00". */
export function stopwatch(span: number): string {
  const whole = Math.max(0, Math.floor(span / second));
  return `${Math.floor(whole / 60)}:${two(whole % 60)}`;
}
