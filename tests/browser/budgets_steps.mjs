// The budgets of the screens on which something is done at a line, as rows: { screen, size, open(page), budgets }.
//   words      on the first screen, at most            screens   how long the page is, in screens, at most
//   main       the box of the main act                 targets   every control at least 44 by 44 (the pain strip is one slider)
// `open` is given { go(hash), bed(family), page } and leaves the screen as a nurse first sees it; `holds` is what stands there when
// all that is asked of the engine has come.
const phone = { width: 390, height: 844 };
const tablet = { width: 1024, height: 768 };
const onPhone = { right: [378, 380], height: [52, 52], above: [5, 9] };
const onTablet = { left: [787.5, 788.5], top: [706, 707.5], width: [220, 220], height: [52, 52] };

/** Goes on until a step of that name; in another language as many steps as it was in English. */
const stepsTo = new Map();
const untilStep = (title) => async ({ page, language }) => {
  const name = async () => page.locator('#step-title').textContent();
  for (let step = 0; step < 24; step++) {
    const was = await name();
    if (language === 'en' ? was.includes(title) : step === stepsTo.get(title)) {
      stepsTo.set(title, step);
      return;
    }
    await page.locator('.bar .main').click();
    await page.waitForFunction((words) => document.getElementById('step-title').textContent !== words, was);
  }
};
const check = async ({ go, bed }) => go(`watch/${await bed('IVARSSON')}/check`);
const response = async ({ go, bed }) => go(`watch/${await bed('CORVO')}/response`);
const drying = async (at) => {
  await at.go(`place/${await at.bed('LINDQUIST')}`);
  await at.page.locator('#step-title').waitFor();
  await untilStep('Let it dry')(at);
};
const failed = async ({ go, bed }) => go(`place/${await bed('NAKAMOTO')}`);
const removing = async ({ go, bed }) => go(`remove/${await bed('JANKOVIC')}`);
const access = async ({ go, bed }) => go(`infuse/${await bed('GRANQVIST')}/flush`);
const begin = async ({ go }) => go('begin');
const emergency = async ({ go, short }) => go(`watch/${await short('HOLLOWAY')}/response`);

export const rows = [
  { screen: 'site check', holds: '.scales li', size: phone, open: check, budgets: { words: 125, screens: 1, main: onPhone, targets: true } },
  { screen: 'site check', holds: '.scales li', size: tablet, open: check, budgets: { main: onTablet, targets: true } },
  { screen: 'response', holds: '.act-page ol > li', size: phone, open: response, budgets: { words: 115, screens: 1, main: onPhone, targets: true } },
  { screen: 'response', holds: '.act-page ol > li', size: tablet, open: response, budgets: { main: onTablet } },
  { screen: 'guided step', holds: '.clock', size: phone, open: drying, budgets: { words: 90, screens: 1, main: onPhone, targets: true } },
  { screen: 'guided step', holds: '.clock', size: tablet, open: drying, budgets: { screens: 1, main: onTablet } },
  { screen: 'removal', holds: '#step-title', size: phone, open: removing, budgets: { words: 90, screens: 1, main: onPhone, targets: true } },
  { screen: 'failed attempt', holds: '.act-page .big', size: phone, open: failed, budgets: { screens: 1, main: onPhone, targets: true } },
  { screen: 'failed attempt', holds: '.act-page .big', size: tablet, open: failed, budgets: { screens: 1, main: onTablet } },
  { screen: 'access', holds: '.act-page .body', size: phone, open: access, budgets: { main: onPhone, targets: true } },
  { screen: 'begin', holds: '.act-page form', size: phone, open: begin, budgets: { main: onPhone, targets: true } },
  { screen: 'emergency', holds: '.act-page ol > li', size: phone, open: emergency, budgets: { words: 100, screens: 1, main: { right: [378, 380], height: [60, 60], above: [5, 13] }, targets: true } },
];

/** What a screen is, as it is measured: in the page. */
export function measure() {
  const isShown = (node) => node.checkVisibility({ visibilityProperty: true }) && node.closest('.unseen, dialog:not([open])') === null;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const said = [];
  while (walker.nextNode()) {
    const node = walker.currentNode;
    if (node.parentElement === null || node.parentElement.closest('script, style, option') || !isShown(node.parentElement)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const box = range.getBoundingClientRect();
    if (box.width > 1 && box.top < innerHeight && box.bottom > 0) said.push(node.textContent.trim());
  }
  const words = said.flatMap((one) => one.match(/[\p{L}\p{N}]+/gu) ?? []);
  const main = document.querySelector('.bar .main')?.getBoundingClientRect();
  const small = [...document.querySelectorAll('.act-page :is(a, button, select, input:not([type=checkbox], .unseen), label.sign, [role=slider])')]
    .filter(isShown)
    .map((node) => ({ box: node.getBoundingClientRect(), says: (node.getAttribute('aria-label') ?? node.textContent).trim().slice(0, 30) }))
    .filter(({ box }) => box.width > 0 && (box.width < 43.5 || box.height < 43.5))
    .map(({ box, says }) => `${says}: ${Math.round(box.width)} by ${Math.round(box.height)}`);
  return {
    said,
    words: words.length,
    screens: document.documentElement.scrollHeight / innerHeight,
    main: main === undefined ? null : { left: main.left, top: main.top, right: main.right, width: main.width, height: main.height, above: innerHeight - main.bottom },
    small,
  };
}

/** What of a row's budgets does not hold, in words. */
export function broken({ screen, size, budgets }, found) {
  const at = `${screen}, ${size.width} wide`;
  const wrong = [];
  if (budgets.words !== undefined && found.words > budgets.words) wrong.push(`${at}: ${found.words} words, at most ${budgets.words}`);
  if (budgets.screens !== undefined && found.screens > budgets.screens + 0.005) wrong.push(`${at}: ${found.screens.toFixed(3)} screens long, at most ${budgets.screens}`);
  for (const [edge, [least, most]] of Object.entries(budgets.main ?? {}))
    if (found.main === null || found.main[edge] < least || found.main[edge] > most) wrong.push(`${at}: main act, ${edge} ${found.main?.[edge]}, ${least} to ${most}`);
  if (budgets.targets) wrong.push(...found.small.map((one) => `${at}: too small to hit: ${one}`));
  return wrong;
}
