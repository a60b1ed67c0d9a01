// Learn's numbers against R: survival and cmprsk, live, on R's own data sets and on rows made there (statistics.R). All to
// 1e-9, relative; where a peer's own rounding leaves less, beside the case.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { test } from 'node:test';

const dwell = process.env.DWELL_BINARY ?? 'build/release/dwell';
const peer = spawnSync('Rscript', ['--vanilla', fileURLToPath(new URL('statistics.R', import.meta.url))], {
  encoding: 'utf8',
  maxBuffer: 1 << 26,
});
const cases = peer.status === 0 ? JSON.parse(peer.stdout) : [];

test('R answers', () => assert.ok(cases.length >= 65, `${cases.length} cases. ${peer.stderr ?? peer.error}`));

function engine(name, input) {
  const run = spawnSync(dwell, ['engine', 'call', name], { input: JSON.stringify(input), encoding: 'utf8', maxBuffer: 1 << 28 });
  assert.equal(run.status, 0, run.stderr);
  return JSON.parse(run.stdout);
}

/** Beside a number: relative, or to a hair of 1 where it is small. A missing one is missing in both. */
function agree(found, expected, what, tolerance = 1e-9) {
  if (Array.isArray(expected)) {
    assert.equal(found.length, expected.length, what);
    expected.forEach((value, i) => agree(found[i], value, `${what} ${i}`, tolerance));
  } else if (expected === null) {
    assert.ok(found === null || found === undefined, `${what}: ${found}, R has none`);
  } else {
    const error = Math.abs(found - expected) / Math.max(Math.abs(expected), 1e-4);
    assert.ok(error <= tolerance, `${what}: ${found}, R ${expected}, ${error} apart`);
  }
}

const coefficients = (answer, expected) => {
  agree(answer.coefficients.map((one) => one.coefficient), expected.coefficient, 'coefficient');
  agree(answer.coefficients.map((one) => one.standard_error), expected.error, 'error');
  agree([answer.log_likelihood_without, answer.log_likelihood], expected.likelihood, 'log likelihood');
};

const comparisons = {
  'statistics.cox': (answer, expected) => {
    coefficients(answer, expected);
    agree(answer.score_test, expected.score, 'score');
    agree(answer.wald_test, expected.wald, 'Wald');
    const { concordant, discordant, tied_hazard, tied_time, tied_both } = answer.concordance;
    agree([concordant, discordant, tied_hazard, tied_time, tied_both], expected.concordance, 'concordance');
    if (expected.proportionality)
      agree(answer.proportionality.map((one) => one.chi_square), expected.proportionality, 'proportionality');
  },
  'statistics.lifetimes': (answer, expected) => {
    const known = [answer.intercept, ...answer.coefficients.map((one) => one.coefficient), answer.log_scale];
    const errors = [answer.intercept_error, ...answer.coefficients.map((one) => one.standard_error), answer.log_scale_error];
    const count = expected.coefficient.length; // an exponential has no scale
    agree(known.slice(0, count), expected.coefficient, 'coefficient');
    agree(errors.slice(0, count), expected.error, 'error');
    agree([answer.log_likelihood_without, answer.log_likelihood], expected.likelihood, 'log likelihood');
    for (const part of ['survival', 'low', 'high'])
      agree(answer.survival.map((one) => one[part]), expected[part], part);
    agree(answer.times.map((one) => one.time), expected.times, 'time');
    agree(answer.times.map((one) => one.high), expected.times_high, 'its upper limit');
  },
  'statistics.stretches': (answer, expected) => {
    agree(answer.stretches.map((one) => one.per_thousand_days), expected.rate, 'rate');
    agree(answer.stretches.map((one) => one.error_of_log), expected.error, 'its error');
    agree(answer.stretches.map((one) => one.line_days), expected.line_days, 'days');
    agree(answer.coefficients.map((one) => one.coefficient), expected.coefficient, 'coefficient');
    agree(answer.coefficients.map((one) => one.standard_error), expected.errors, 'error');
    agree(answer.log_likelihood, expected.likelihood, 'log likelihood');
  },
  // θ is where a likelihood is flat: R's search and ours leave it some seven digits, and what hangs on it the same. The
  // errors are differences of a score, with eight digits.
  'statistics.frailty': (answer, expected) => {
    const hangs = 'spread' in expected ? 1e-6 : 1e-8;
    if ('spread' in expected) agree(answer.spread, expected.spread, 'spread', 2e-6);
    agree(answer.coefficients.map((one) => one.coefficient), expected.coefficient, 'coefficient', hangs);
    agree(answer.coefficients.map((one) => one.standard_error), expected.error, 'error', 1e-6);
    agree(answer.log_likelihood_without, expected.without, 'log likelihood without');
    agree(answer.log_likelihood, expected.level, 'log likelihood');
    agree(answer.shares.map((one) => one.hazard_ratio), expected.u, 'ratios', hangs);
  },
  'statistics.segments': (answer, expected) => {
    const terms = [answer.start, answer.trend, answer.step, answer.trend_change];
    agree(terms.map((one) => one.coefficient), expected.coefficient, 'coefficient');
    agree(terms.map((one) => one.standard_error), expected.error, 'error');
    agree(terms.map((one) => one.p_value), expected.p, 'p');
    agree([answer.effect, answer.effect_low, answer.effect_high], expected.effect, 'effect');
    agree(answer.dispersion, expected.dispersion, 'dispersion');
  },
  'statistics.fine_gray': coefficients,
  // Both are numerical integrals; theirs is asked for nine digits, ours cuts the density's tails at 1e-9 of its height.
  'statistics.fair_shares': (answer, expected) => {
    agree([answer.share, answer.difference], [expected.share, expected.difference], 'all', 1e-6);
    agree(answer.people.map((one) => one.share), expected.people, 'share', 1e-6);
    agree(answer.people.map((one) => one.chance_higher), expected.higher, 'chance of being higher', 5e-5);
  },
  'statistics.gray': (answer, expected) => agree(answer.chi_square, expected.chi_square, 'chi-squared'),
  'statistics.rate_ratio': (answer, expected) => agree([answer.value, answer.low, answer.high], expected.ratio, 'ratio'),
  'statistics.recurrent': ([answer], expected) => {
    agree(answer.points.map((point) => point.mean), expected.mean, 'mean');
    agree(answer.points.map((point) => point.standard_error), expected.error, 'its error');
  },
  'statistics.curves': (answer, expected) => {
    const points = answer.curves.flatMap((curve) => curve.points).filter((point) => point.events > 0);
    agree(points.map((point) => point.survival), expected.survival, 'survival');
    agree(points.map((point) => point.low ?? null), expected.low, 'low');
    agree(points.map((point) => point.high ?? null), expected.high, 'high');
    agree(points.map((point) => point.cumulative_hazard), expected.hazard, 'hazard');
    agree(points.map((point) => point.cumulative_hazard_error), expected.hazard_error, 'its error');
    if ('log_rank' in expected) agree(answer.log_rank.chi_square, expected.log_rank, 'log-rank');
    if (!expected.mean) return;
    // Beyond the last line in, R draws the curve on; the engine stops there and says so.
    answer.curves.forEach((curve, i) => {
      agree(curve.median ?? null, expected.median[i], 'median');
      if (curve.restricted_to < 300) return;
      agree(curve.restricted_mean, expected.mean[i], 'mean');
      agree(curve.restricted_mean_error, expected.mean_error[i], 'its error');
    });
  },
  'statistics.competing_risks': (answer, expected) =>
    answer.forEach((group, g) =>
      group.causes.forEach((cause, k) => {
        const theirs = expected.incidence[g][k];
        agree(cause.points.map((point) => point.incidence), theirs.incidence, 'incidence');
        agree(cause.points.map((point) => point.standard_error), theirs.error, 'its error');
      }),
    ),
};

for (const { name, call, input, expected } of cases) test(name, () => comparisons[call](engine(call, input), expected));
