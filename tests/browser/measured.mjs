// What a first screen is made of, for the tests of its budgets: of the cells that tile it, how many a line of text or a drawing crosses,
// and how many a control covers.

/** The side of a cell, in px. */
export const cell = 8;

/** In the page: what the first screen is made of. */
export function measure(side) {
  const { innerWidth: wide, innerHeight: high } = globalThis;
  const columns = Math.ceil(wide / side);
  const rows = Math.ceil(high / side);
  const isDrawn = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  // A row that opens its line is what the screen is for; the sections are the same on every screen, and are neither.
  const controls = 'button, input, select, textarea, summary, [role=slider], a.button, a.link, header a';
  const sections = '.folder > nav';
  const isControl = (element) => element.closest(`${controls}, ${sections}`) !== null;
  const bar = [...document.querySelectorAll(sections)].map((one) => one.getBoundingClientRect()).find((one) => one.width >= wide - 1);
  /** Where the bar at the foot begins: what is under it is not seen. */
  const end = bar?.top ?? high;
  /** What is seen of it: cut by what cuts it, and by the screen. */
  function seen({ left, top, right, bottom }, element) {
    for (let one = element; one !== null && one !== document.documentElement; one = one.parentElement) {
      const style = getComputedStyle(one);
      if (style.clipPath !== 'none' && one.getBoundingClientRect().width <= 2) return null;
      if (style.overflowX === 'visible' && style.overflowY === 'visible') continue;
      const box = one.getBoundingClientRect();
      [left, top, right, bottom] = [Math.max(left, box.left), Math.max(top, box.top), Math.min(right, box.right), Math.min(bottom, box.bottom)];
    }
    [left, top, right, bottom] = [Math.max(left, 0), Math.max(top, 0), Math.min(right, wide), Math.min(bottom, element.closest(sections) === null ? end : high)];
    return right - left > 1 && bottom - top > 1 ? { left, top, right, bottom } : null;
  }
  const cells = { content: new Set(), control: new Set() };
  function fillIn(set, box) {
    for (let y = Math.floor(box.top / side); y < Math.ceil(box.bottom / side) && y < rows; y++) for (let x = Math.floor(box.left / side); x < Math.ceil(box.right / side) && x < columns; x++) set.add(y * columns + x);
  }
  let words = 0;
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = texts.nextNode(); node !== null; node = texts.nextNode()) {
    const holder = node.parentElement;
    if (node.textContent.trim() === '' || !isDrawn(holder) || holder.closest('script, style, title, svg') !== null) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const boxes = [...range.getClientRects()].map((box) => seen(box, holder)).filter((box) => box !== null);
    if (boxes.length > 0) words += node.textContent.trim().split(/\s+/).length;
    if (!isControl(holder)) boxes.forEach((box) => fillIn(cells.content, box));
  }
  for (const drawing of document.querySelectorAll('svg')) {
    const box = isDrawn(drawing) ? seen(drawing.getBoundingClientRect(), drawing.parentElement) : null;
    if (box !== null && !isControl(drawing)) fillIn(cells.content, box);
  }
  for (const control of document.querySelectorAll(controls)) {
    const box = isDrawn(control) ? seen(control.getBoundingClientRect(), control) : null;
    if (box !== null) fillIn(cells.control, box);
  }
  const ribbons = [...document.querySelectorAll('.ward [role=listitem] svg.ribbon')].map((one) => one.getBoundingClientRect());
  const firstRow = document.querySelector('.ward [role=listitem] a')?.getBoundingClientRect();
  return {
    content: cells.content.size / (columns * rows),
    control: cells.control.size / (columns * rows),
    ribbons: ribbons.filter((one) => one.top >= 0 && one.bottom <= end).length,
    top: firstRow === undefined ? 0 : Math.round(firstRow.top),
    length: document.documentElement.scrollHeight / high,
    wider: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    words,
  };
}
