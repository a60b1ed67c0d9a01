// A ribbon in words, for those who hear it and for those who like a list.
import { momentText, spanText, waitText } from '../../time/show';
import { hour } from '../../time/spans';
import { text } from '../../text/text';
import type { RibbonDue, RibbonLine, RibbonMark } from './ribbon_line';

/** A bed that is told by a name, not by a number: it needs more room than a figure. */
export const isNamed = (bed: string): boolean => bed.length > 4;

/** Nobody acts on the seconds of a wait; what is further than an hour is said by the clock. */
export function dueWhen(due: Pick<RibbonDue, 'state' | 'at'>, now: number): string {
  if (due.state === 'overdue') return text.ribbon.lateBy(waitText(now - due.at));
  if (due.at <= now) return text.ribbon.dueNow;
  return due.at - now <= hour ? text.ribbon.inTime(waitText(due.at - now)) : momentText(due.at, now);
}

export function dwellText(line: RibbonLine, now: number): string {
  if (line.placedAt === null) return text.ribbon.notPlaced;
  if (line.removedAt !== null) return text.ribbon.removedAfter(spanText(line.removedAt - line.placedAt));
  return text.ribbon.inPlace(spanText(now - line.placedAt));
}

export function markText(mark: RibbonMark, now: number): string {
  const parts = [momentText(mark.at, now), mark.text];
  if (mark.kind === 'site_check') parts.push(mark.grade == null ? text.ribbon.unmatched : text.ribbon.grade(mark.grade));
  if (mark.author) parts.push(text.ribbon.by(mark.author));
  if (mark.corrected === true) parts.push(text.ribbon.corrected);
  return parts.join(', ');
}

/** When nothing stands as due: that nothing is, or that it is not known. */
export const nothingText = (line: RibbonLine): string => (line.dueUnknown === true ? text.ribbon.dueUnknown : text.ribbon.nothingDue);

export function dueText(due: RibbonDue, now: number): string {
  return text.ribbon.due(due.title, due.state, dueWhen(due, now));
}

export function runningText(line: RibbonLine, now: number): string | null {
  const bag = line.bags.at(-1);
  if (!bag || bag.emptyAt === null || line.removedAt !== null) return null;
  return `${text.ribbon.runs(bag.text)}, ${bag.emptyText ?? text.ribbon.emptyAt(momentText(bag.emptyAt, now))}`;
}

/** What was last found and what runs: the part of a ward's row that only the drawing shows. */
export function story(line: RibbonLine, now: number): string {
  const check = line.marks.findLast((mark) => mark.kind === 'site_check' && mark.corrected !== true);
  const others = line.due.slice(1).filter((one) => one.state !== 'later');
  const parts = [check ? markText(check, now) : null, runningText(line, now), ...others.map((one) => dueText(one, now))];
  return parts.filter((part) => part !== null).join('; ');
}

/** All that a glance at the compact ribbon tells. */
export function summary(line: RibbonLine, now: number): string {
  const check = line.marks.findLast((mark) => mark.kind === 'site_check' && mark.corrected !== true);
  const due = line.due.filter((one) => one.state !== 'later').slice(0, 3);
  const parts = [
    dwellText(line, now),
    check ? markText(check, now) : null,
    runningText(line, now),
    ...(due.length > 0 ? due : line.due.slice(0, 1)).map((one) => dueText(one, now)),
  ];
  if (line.due.length === 0) parts.push(nothingText(line));
  return `${parts.filter((part) => part !== null).join('; ')}.`;
}
