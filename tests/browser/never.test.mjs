// What must not happen at the bedside, each tried on the page. Held elsewhere, and so not here:
//   a second entry of a double-check while the first is in sight          job.test.mjs, "the order is looked at twice"
//   a stale board without its age                                         record.test.mjs, "every screen says how old it is"
//   "All on the server" while it is not                                   record.test.mjs, the failures of the record
// What of these a phone's own page would hide is tried here once more.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { engineHere, launch, open, serve, until, v7 } from './ward.mjs';

let ward, browser, page, context, faults;
before(async () => {
  ward = await serve(20);
  browser = await launch();
  ({ page, context, faults } = await open(browser, ward.address, { width: 390, height: 844 }));
  page.setDefaultTimeout(40_000);
  await stands(page);
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

/** The ward is shown. */
const stands = (on) => on.getByRole('region', { name: 'Lines of the ward on one time axis' }).waitFor();
const go = (hash, on = page) => on.goto(`${ward.address}/#/${hash}`);
const statesOf = async () => (await (await context.request.get(`${ward.address}/api/ward`)).json()).states;
const bed = async (family) => (await statesOf()).find((one) => one.patient.family === family).id;
const lineOf = async (id) => (await (await context.request.get(`${ward.address}/api/lines/${id}`)).json()).state;
/** Which cards the server says are asked for and not answered. */
const askedOf = async (id) => {
  const { due } = await (await context.request.get(`${ward.address}/api/ward`)).json();
  return (due.find((one) => one.line === id)?.items ?? []).filter((item) => item.task === 'response' || item.task === 'catheter_missing_alarm').flatMap((item) => [item.task, ...item.cards]);
};
async function post(line, ...bodies) {
  const at = new Date().toISOString();
  const events = bodies.map((body) => ({ id: v7(), line, occurred_at: at, recorded_at: at, author: 'S. Iqbal, nurse', device: 'other', schema: 2, body }));
  const answer = await context.request.post(`${ward.address}/api/events?together`, { data: events });
  assert.ok(answer.ok(), await answer.text());
}
const main = (on = page) => on.locator('.bar .main');
const band = (on = page) => on.getByRole('link', { name: /not answered/ });
const no = { assessed: false, present: [] };
const short = { kind: 'removed', reason: 'therapy_complete', ground: 'done', length_found: '20 mm', tip_whole: false, bleeding_stopped: true, signs: no, grades: [], remover: 'S. Iqbal, nurse', tolerance: '', teaching: '' };
const site = { side: 'left', region: 'forearm_middle', vein: '' };

/** Another device, another person: no store in common. */
async function elsewhere(work) {
  const other = await open(browser, ward.address, { width: 390, height: 844, who: 'O. Ther, nurse' });
  other.page.setDefaultTimeout(40_000);
  await stands(other.page);
  await work(other.page).finally(() => other.context.close());
}

test('a catheter that is not whole is left neither by going away, nor by a reload, nor by a reason, nor on another device', async () => {
  const id = await bed('HOLLOWAY');
  await post(id, short);
  await go(`watch/${id}/response`);
  await page.getByText('CATHETER NOT WHOLE').waitFor();
  assert.ok(await main().isDisabled(), 'it cannot be closed with acts unanswered');
  await go('learn');
  await band().waitFor();
  await page.reload();
  await band().waitFor();
  await band().click();
  await page.getByText('CATHETER NOT WHOLE').waitFor();
  await page.goBack();
  await band().waitFor();
  // A reason is charted, and answers nothing.
  await go(`watch/${id}/response`);
  await page.getByRole('button', { name: 'Leave it open' }).click();
  assert.ok(await page.getByRole('button', { name: 'Go on', exact: true }).isDisabled(), 'not without a word');
  await page.getByLabel(/charted as done: why/).fill('called away');
  await page.getByRole('button', { name: 'Go on', exact: true }).click();
  await until(async () => (await lineOf(id)).history.some((one) => one.kind === 'noted' && /called away/.test(JSON.stringify(one.text))), 'the reason stands');
  await page.waitForURL((url) => url.hash === `#/watch/${id}`);
  assert.ok((await askedOf(id)).length > 0);
  // An act that is not done answers nothing either.
  await go(`watch/${id}/response`);
  await page.getByRole('button', { name: /^Not done: Call the practitioner/ }).click();
  await page.getByLabel('Why was it not done?').fill('nobody answers');
  await page.getByRole('button', { name: 'Chart: not done' }).click();
  await until(async () => (await lineOf(id)).history.some((one) => /nobody answers/.test(JSON.stringify(one.text))), 'it is charted');
  assert.ok((await askedOf(id)).length > 0);
  await elsewhere(async (other) => {
    await go('settings', other);
    await band(other).click();
    await other.getByText('CATHETER NOT WHOLE').waitFor();
    await other.getByRole('button', { name: /^Called: whom\? Call the practitioner/ }).click();
    assert.ok(await other.getByRole('button', { name: 'Chart the call' }).isDisabled(), 'a call has a name');
    await other.getByLabel('Who was called').fill('Dr T. Weller');
    await other.getByRole('button', { name: 'Chart the call' }).click();
    await until(async () => (await askedOf(id)).length === 0, 'a named person was called');
  });
  await go('learn');
  await band().waitFor({ state: 'detached' });
});

for (const [what, family, signs, card] of [
  ['a leak of a vesicant', 'DEWITT', ['Swelling', 'Leaking', 'Pale'], /^leak_vesicant/],
  ['the signs of a compartment', 'ELSTAD', ['Tight', 'Numb, tingling', 'Cool', 'Pale', 'Poor circulation'], /^compartment$/],
])
  test(`${what} stays asked for until its acts are charted, whoever looks`, async () => {
    const id = await bed(family);
    await go(`watch/${id}/check`);
    for (const sign of signs) await page.getByText(sign, { exact: true }).click();
    await page.getByRole('slider').press('7');
    await page.getByRole('button', { name: /^Chart (grade|: no grade)/ }).click();
    await page.getByRole('heading', { name: /^(Charted|Emergency)/ }).waitFor();
    await until(async () => (await askedOf(id)).some((one) => card.test(one)), `the card is asked for`);
    const firstAct = page.getByRole('button', { name: /^(Done: )?Stopped and disconnected/ });
    await firstAct.waitFor();
    // Going away asks why; a reload, the way back and another device find it again.
    const away = page.getByRole('button', { name: /^(Leave it open|Later|To the line)/ });
    await away.click();
    await page.getByLabel(/charted as done: why/).waitFor();
    await page.getByRole('button', { name: 'Back', exact: true }).click();
    await page.reload();
    await firstAct.waitFor();
    await go('watch');
    await page.locator(`.ward .alarm a[href^="#/watch/${id}"], .ward a.alarm[href^="#/watch/${id}"]`).first().waitFor(); // an emergency fills its row
    await page.goBack();
    await firstAct.waitFor();
    await go('policy');
    await page.locator('a.band').filter({ hasText: 'not answered' }).waitFor();
    await page.goBack();
    await firstAct.waitFor();
    await elsewhere(async (other) => {
      await go(`watch/${id}/response`, other);
      await other.getByRole('button', { name: /^(Done: )?Stopped and disconnected/ }).waitFor();
    });
    // "All normal" from another person, at once, takes nothing away.
    await post(id, { kind: 'site_checked', signs: { assessed: true, present: [], pain_score: 0 }, grades: [], response: '', note: '', dressing_intact: true });
    assert.ok((await askedOf(id)).some((one) => card.test(one)));
    await page.reload();
    await firstAct.click();
    await until(async () => (await lineOf(id)).responses.some(({ response }) => response.acts?.includes('stopped')), 'charted by one tap');
    assert.ok((await askedOf(id)).some((one) => card.test(one)), 'one act of several is no answer');
  });

test('an artery that was hit: nothing goes on at that vein, and the card stands first', async () => {
  const id = await bed('LINDQUIST');
  const fail = (outcome) => post(id, { kind: 'planned', catheter: '22 gauge 25 mm', site }, { kind: 'attempted', site, gauge: 22, clinician: 'S. Iqbal, nurse', outcome, aid: '' });
  await fail('arterial');
  const isHeld = async (on) => {
    await go(`place/${id}`, on);
    await on.getByRole('heading', { name: 'Attempt failed' }).waitFor();
    await on.getByRole('link', { name: /^Act now/ }).waitFor();
    assert.equal(await on.locator('#step-title').count(), 0, 'no step is armed');
    assert.equal(await on.getByRole('button', { name: /^(Done, next|Go on with)/ }).count(), 0);
  };
  await isHeld(page);
  await page.reload();
  await isHeld(page);
  await elsewhere(isHeld);
  await page.getByRole('link', { name: /^Act now/ }).click();
  await page.getByText('Bright, pulsing blood').first().waitFor();
  await post(id, { kind: 'responded', response: 'arterial_entry', done: [], called: 'Dr T. Weller', note: '', acts: ['called', 'limb_looked_at'] });
  // Answered: now the same vein is still not offered, nor any below it.
  await go('watch');
  await go(`place/${id}`);
  await page.getByRole('heading', { name: 'Attempt failed' }).waitFor();
  await page.getByRole('link', { name: 'Assess another vein' }).waitFor();
  assert.equal(await page.locator('#step-title').count(), 0);
});

test('after a failed attempt the next vein lies above it, and four taps lead there', async () => {
  const id = await bed('LINDQUIST');
  const vein = (region, diameter) => ({ id: region, site: { side: 'left', region, vein: '' }, diameter, depth: '2 mm', visible: true, palpable: true, fragile: false, faults: [] });
  await post(id, { kind: 'assessed', veins: [vein('forearm_middle', '2.8 mm'), vein('forearm_lower', '3.2 mm'), vein('forearm_upper', '2.6 mm'), vein('hand_back', '3 mm')] }, { kind: 'planned', catheter: '22 gauge 25 mm', site });
  await go('watch');
  await go(`place/${id}`);
  await page.locator('#step-title').waitFor();
  for (let step = 0; step < 20 && !(await page.getByRole('button', { name: 'Attempt failed' }).isEnabled()); step++) {
    const was = await page.locator('#step-title').textContent();
    await page.getByRole('button', { name: 'Done, next' }).click();
    await page.waitForFunction((title) => document.getElementById('step-title').textContent !== title, was);
  }
  await page.getByRole('button', { name: 'Attempt failed' }).click(); // 1
  assert.ok(await page.getByRole('button', { name: 'Chart the failed attempt' }).isDisabled(), 'no outcome is preset');
  await page.getByRole('button', { name: 'No blood in the chamber' }).click(); // 2
  await page.getByRole('button', { name: 'Chart the failed attempt' }).click(); // 3
  await page.getByText(/^Left forearm, upper third: /).waitFor();
  for (const below of ['lower third', 'back of the hand']) assert.equal(await page.getByRole('listitem').filter({ hasText: below }).count(), 0, below);
  await page.getByRole('button', { name: /^Go on with 1/ }).click(); // 4
  await page.locator('#step-title').waitFor();
  await until(async () => (await lineOf(id)).planned.site.region === 'forearm_upper', 'planned above');
});

test('nothing is ticked beforehand, and no grade stands there before anybody looked', async () => {
  const id = await bed('IVARSSON');
  await go(`watch/${id}/check`);
  await main().waitFor();
  const act = page.locator('.act-page');
  assert.equal(await act.locator('[aria-pressed=true], :checked').count(), 0);
  assert.ok(/No grade yet/.test(await act.innerText()));
  assert.ok(!/grade [0-9]/i.test(await act.innerText()), await act.innerText());
  assert.equal(await page.getByRole('slider').getAttribute('aria-valuetext'), 'not said yet');
  // A vein is neither seen nor felt until somebody says so.
  await go(`plan/${await bed('LINDQUIST')}`);
  await page.getByRole('checkbox', { name: /^Seen/ }).waitFor();
  for (const name of [/^Seen/, /^Felt/]) assert.ok(!(await page.getByRole('checkbox', { name }).isChecked()), String(name));
});

test('what was seen within the time that tissue needs is not charted as all sound without being said to be gone', async () => {
  const id = await bed('IVARSSON');
  await go(`watch/${id}/check`);
  await page.getByText('Redness', { exact: true }).click();
  await page.getByRole('slider').press('4');
  await page.getByRole('button', { name: 'Chart grade 2' }).click();
  await page.getByRole('heading', { name: /^Charted/ }).waitFor();
  await elsewhere(async (other) => {
    await go(`watch/${id}/check`, other);
    await other.getByRole('group', { name: /^Seen .*redness/ }).waitFor();
    assert.ok(await main(other).isDisabled());
    await other.getByRole('group', { name: /^Seen / }).getByRole('button', { name: 'No' }).click();
    assert.ok(await main(other).isDisabled());
    await other.getByRole('group', { name: /^Seen / }).getByRole('button', { name: 'Yes' }).click();
    await other.getByRole('button', { name: /^Chart: all sound/ }).click();
    await until(async () => (await lineOf(id)).last_check.author === 'O. Ther, nurse', 'it is charted');
  });
  const { last_check: look, findings } = await lineOf(id);
  assert.deepEqual([look.check.seen_before_gone, look.check.note], [true, '']);
  assert.ok(findings.length > 0, 'too soon to be believed: it waits to be confirmed');
});

test('a patient who cannot report pain is never charted with pain 0, and need never rides along', async () => {
  const id = await bed('OYELARAN');
  await go(`watch/${id}/check`);
  await page.getByRole('button', { name: 'Chart: sound to look and feel' }).click();
  await page.getByRole('heading', { name: /^Charted/ }).waitFor();
  await until(async () => (await lineOf(id)).last_check.author === 'M. Koller, nurse', 'it is in the record');
  const { check } = (await lineOf(id)).last_check;
  assert.equal(check.signs.pain_score, undefined);
  assert.deepEqual([check.pain_unsaid, check.note], ['cannot_say', '']);
  assert.equal(check.still_needed, undefined);
  assert.equal(check.dressing_intact, true); // the tap said so
  // With one sign ticked, what is untouched is not said.
  await go('watch');
  await go(`watch/${id}/check`);
  await page.getByText('Bruise', { exact: true }).click();
  await main().click();
  await page.getByRole('heading', { name: /^Charted/ }).waitFor();
  await until(async () => (await lineOf(id)).last_check.check.signs.present.includes('bruising'), 'it is in the record');
  const second = (await lineOf(id)).last_check.check;
  assert.deepEqual([second.dressing_intact, second.still_needed, second.signs.pain_score], [undefined, undefined, undefined]);
});

test('a removal with identifiers unticked and pressed too short is not charted without a word', async () => {
  const id = await bed('BRANDT');
  await go(`remove/${id}`);
  await page.locator('#reason').selectOption('therapy_complete');
  await page.locator('#ground').fill('therapy over');
  const isAt = async (title) => (await page.locator('#step-title').textContent()).includes(title);
  for (let step = 0; step < 14 && (await page.getByRole('button', { name: 'Chart the removal' }).count()) === 0; step++) {
    const was = await page.locator('#step-title').textContent();
    if (await isAt('Press')) await page.getByRole('button', { name: 'Start', exact: true }).click();
    if (await isAt('Look at the catheter')) await page.locator('#length').fill((await lineOf(id)).placement.placed.length.text);
    await page.getByRole('button', { name: 'Done, next' }).click();
    if (was === 'Press') {
      assert.ok(await page.getByRole('button', { name: 'Go on', exact: true }).isDisabled(), 'pressed too short: asks why');
      await page.getByRole('dialog').getByRole('button', { name: 'Back', exact: true }).click();
      await page.getByRole('button', { name: 'Stop', exact: true }).click();
      await page.getByRole('button', { name: 'Done, next' }).click();
      await page.getByLabel(/pressed for less than policy asks/).fill('taken over by S. Iqbal');
      await page.getByRole('button', { name: 'Go on', exact: true }).click();
    }
    await page.waitForFunction((title) => document.getElementById('step-title').textContent !== title, was);
  }
  assert.equal((await lineOf(id)).stage, 'dwelling');
  await page.getByRole('button', { name: 'Chart the removal' }).click();
  await page.getByText('Removed and charted.').waitFor();
  await until(async () => (await lineOf(id)).removal !== undefined, 'it is in the record');
  const { deviations } = await lineOf(id);
  assert.ok(deviations.some((one) => /^pressed_short/.test(one.text.id) && /taken over by S. Iqbal/.test(one.reason)), JSON.stringify(deviations));
});

test('nor is it when nobody timed the pressing at all', async () => {
  const id = await bed('MORETTI');
  await go(`remove/${id}`);
  await page.locator('#reason').selectOption('therapy_complete');
  await page.locator('#ground').fill('therapy over');
  for (let step = 0; step < 14 && (await page.getByRole('button', { name: 'Chart the removal' }).count()) === 0; step++) {
    const was = await page.locator('#step-title').textContent();
    await page.getByRole('button', { name: 'Done, next' }).click();
    await page.waitForFunction((title) => document.getElementById('step-title').textContent !== title, was);
  }
  await page.getByRole('button', { name: 'Chart the removal' }).click();
  const why = page.getByLabel(/Identifiers not ticked; pressure not timed/);
  await why.waitFor();
  assert.equal((await lineOf(id)).stage, 'dwelling', 'nothing is charted yet');
  await why.fill('an emergency elsewhere');
  await page.getByRole('dialog').getByRole('button', { name: 'Chart the removal' }).click();
  await page.getByText('Removed and charted.').waitFor();
  await until(async () => (await lineOf(id)).stage === 'removed', 'it is in the record');
});

test('nothing begins to run into a patient whose allergies nobody asked for, without a word', async () => {
  const id = v7();
  const quantity = (value, unit) => `${value} ${unit}`;
  await post(
    id,
    { kind: 'opened', patient: { number: 'N-1', family: 'QUENTIN', given: 'Rosa', sex: 'female', birth_date: '1980-05-01', weight: '70 kg', allergies: [], allergies_known: false, anticoagulant: false, restrictions: [] }, place: { facility: '', unit: 'Ward 7', bed: '31' } },
    { kind: 'ordered', order: { mixture: { base: 'sodium chloride 0.9 %', volume: quantity(1, 'L'), additives: [] }, duration: quantity(10, 'h'), drop_factor: '20 {drop}/mL', purpose: 'maintenance', prescriber: 'Dr T. Weller' } },
    { kind: 'placed', site, gauge: 22, length: '25 mm', inserter: 'S. Iqbal, nurse', asepsis: 'aseptic', antiseptic: '', dressing: 'film', securement: '', tolerance: '', teaching: '' },
  );
  await go(`infuse/${id}`);
  await page.getByRole('button', { name: 'Look before it runs' }).click();
  const begin = page.getByRole('button', { name: 'By pump' });
  await begin.waitFor();
  assert.ok(await begin.isDisabled());
  assert.match(await page.locator('main').innerText(), /allerg/i);
  await page.getByLabel(/Why it runs all the same/).fill('asked the daughter: none known');
  await begin.click();
  await until(async () => (await lineOf(id)).running !== undefined, 'it runs, with a word');
});

test('on a phone’s own page too: not "sent" while it is not', async () => {
  const id = await bed('JANKOVIC');
  await go(`watch/${id}/check`);
  await main().waitFor();
  await page.getByText('sent', { exact: true }).filter({ visible: true }).waitFor();
  await engineHere(page); // it comes in the background
  await context.setOffline(true);
  await main().click();
  await page.getByRole('heading', { name: /^Charted/ }).waitFor();
  await page.getByText(/1 entry on this device only/).filter({ visible: true }).waitFor();
  assert.equal(await page.getByText('sent', { exact: true }).filter({ visible: true }).count(), 0);
  await context.setOffline(false);
  await page.getByText('sent', { exact: true }).filter({ visible: true }).waitFor({ timeout: 60_000 });
});

test('no fault was heard from the page', () => assert.deepEqual(faults.filter((fault) => !/ERR_INTERNET_DISCONNECTED|ERR_FAILED/.test(fault)), []));
