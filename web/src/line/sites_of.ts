// Where this patient has a line, had one, or where one was tried: of all lines that this device knows.
import type { CurrentSite, PastSite } from '../parts/arms/sites';
import { text } from '../text/text';
import { momentText } from '../time/show';
import type { LineState } from '../engine/generated/shapes';

const faded = 14 * 86_400_000; // a place that healed for two weeks is drawn palest

/** Past sites latest first; a failed attempt counts as one. */
export function sitesOf(line: LineState, all: readonly LineState[], now: number): { current: CurrentSite[]; past: PastSite[] } {
  const own = [line, ...all.filter((one) => one.id !== line.id && one.patient.number !== '' && one.patient.number === line.patient.number)];
  const current = own.flatMap(({ placement, removal }) =>
    placement === undefined || removal !== undefined ? [] : [{ side: placement.placed.site.side, region: placement.placed.site.region, label: text.job.gauge(placement.placed.gauge) }],
  );
  const gone = own.flatMap(({ placement, removal }) =>
    placement === undefined || removal === undefined ? [] : [{ site: placement.placed.site, at: Date.parse(removal.at), what: text.job.plain(removal.removed.reason) }],
  );
  const failed = own.flatMap(({ attempts }) =>
    attempts
      .filter((one) => one.attempt.outcome !== 'placed')
      .map((one) => ({ site: one.attempt.site, at: Date.parse(one.at), what: text.care.sites.failed(text.job.place.outcomes[one.attempt.outcome as keyof typeof text.job.place.outcomes] ?? text.job.plain(one.attempt.outcome)) })),
  );
  const past = [...gone, ...failed]
    .toSorted((a, b) => b.at - a.at)
    .map(({ site, at, what }) => ({ side: site.side, region: site.region, label: `${what}, ${momentText(at, now)}`, faded: Math.min(1, Math.max(0, (now - at) / faded)) }));
  return { current, past };
}
