// Words that entries of older versions hold, in the language of the page: they were kept in English, and a list of phrases
// (engine_es.ts) gives the other language. What the list lacks stays English as it is: unknown is never hidden.
//
// A phrase may hold places for what the engine puts in:
//   {0}   any text, which is said in turn when it is known
//   {#0}  a number with its unit, or a date
//   {=0}  any text that is kept as it is: somebody's name or own words; between brackets it holds no bracket

interface Template {
  length: number;
  order: number;
  /** Something that must stand in the text; quicker to look for than the whole pattern. */
  longest: string;
  pattern: RegExp;
  first: string;
  english: string;
  numbers: number[];
  kept: boolean[];
}

const place = /\{([#=]?)(\d+)\}/g;
const escaped = (literal: string): string => literal.replaceAll(/[.*+?^${}()|[\]\\/]/g, '\\$&');

const unit =
  '(?:%|°C?|mm²?|cm²?|m²|m|in|mL|L|kg|g|mg|mcg|lb|min|ms|s|h|d|y|years?|months|mmHg|cmH₂O|kPa|Pa|psi|mmol|mol|micromol|nanograms|drops?|units?|milliunits|mOsm|mPa·s|day|degrees|gauge|' +
  'Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)(?:/(?:mL|L|dL|min|h|s|d|day|kg|m³|mol)){0,2}';
const number = '[±−+-]?\\d(?:[\\d,.:\u202f]*\\d)?(?:e-\\d+)?';
const quantity = `(?:± )?${number}(?: ?(?:per )?(?:${unit}|${number})(?![\\w/]))*`;
const isQuantity = new RegExp(`^${quantity}$`);

const firstWord = (text: string): string => text.slice(0, text.includes(' ') ? text.indexOf(' ') : undefined).toLowerCase();
const lowered = (text: string): string => text.replace(/^[¿¡]*./u, (first) => first.toLowerCase());
const raised = (text: string): string => text.replace(/^[¿¡]*./u, (first) => first.toUpperCase());
/** With a capital or without one, as the English text had it. */
const inCaseOf = (english: string, written: string, said: string): string =>
  english.charAt(0) === written.charAt(0) ? said : english.charAt(0) === english.charAt(0).toLowerCase() ? lowered(said) : raised(said);

function compile(english: string, order: number): Template {
  const numbers: number[] = [];
  const kept: boolean[] = [];
  let pattern = '';
  let longest = '';
  let length = 0;
  let at = 0;
  const literal = (text: string): void => {
    // The first letter may be a capital or not.
    const head = pattern === '' && /^[A-Za-z]/.test(text) ? `[${text.charAt(0).toLowerCase()}${text.charAt(0).toUpperCase()}]` : '';
    pattern += head + escaped(head === '' ? text : text.slice(1));
    length += text.length;
    const certain = head === '' ? text : text.slice(1);
    if (certain.length > longest.length) longest = certain;
  };
  for (const found of english.matchAll(place)) {
    literal(english.slice(at, found.index));
    const before = english.slice(0, found.index);
    const isBracketed = before.lastIndexOf('(') > before.lastIndexOf(')') && english.charAt(found.index + found[0].length) === ')';
    pattern += found[1] === '#' ? `(${quantity})` : found[1] === '=' && isBracketed ? '([^()]+)' : '(.+?)';
    numbers.push(Number(found[2]));
    kept.push(found[1] === '=');
    at = found.index + found[0].length;
  }
  literal(english.slice(at));
  const start = english.slice(0, english.search(/\{[#=]?\d/));
  // A number says more than any text, and one at the front says what kind of text this is.
  length += (english.match(/\{#/g) ?? []).length + (english.startsWith('{#') ? 8 : 0);
  return { length, order, longest, pattern: new RegExp(`^${pattern}$`, 's'), first: start.includes(' ') ? firstWord(start) : '', english, numbers, kept };
}

/** Parts of a text between `between`, which does not count inside brackets. */
function partsOf(text: string, between: string): string[] {
  const parts: string[] = [];
  let depth = 0;
  let from = 0;
  for (let i = 0; i < text.length; i++) {
    const c = text.charAt(i);
    if (c === '(') depth++;
    if (c === ')') depth = Math.max(0, depth - 1);
    if (depth === 0 && text.startsWith(between, i)) {
      parts.push(text.slice(from, i));
      i += between.length - 1;
      from = i + 1;
    }
  }
  return [...parts, text.slice(from)];
}

/** Where the bracket opens that closes at the end of the text. */
function lastBracket(text: string): number {
  if (!text.endsWith(')')) return -1;
  let depth = 0;
  for (let i = text.length - 1; i > 0; i--) {
    if (text.charAt(i) === ')') depth++;
    if (text.charAt(i) === '(' && --depth === 0) return text.charAt(i - 1) === ' ' ? i : -1;
  }
  return -1;
}

export function translator(phrases: Readonly<Record<string, string>>): (english: string) => string {
  const wholes = new Map<string, string>();
  const byFirst = new Map<string, Template[]>();
  const open: Template[] = [];
  const meant = new Map<string, string>();
  Object.entries(phrases).forEach(([english, said], order) => {
    if (english.search(place) < 0) {
      wholes.set(english, said);
      if (!meant.has(lowered(english))) meant.set(lowered(english), english);
      return;
    }
    const template = compile(english, order);
    if (template.first === '') open.push(template);
    else byFirst.set(template.first, [...(byFirst.get(template.first) ?? []), template]);
  });
  const closer = (a: Template, b: Template): number => b.length - a.length || a.order - b.order;
  open.sort(closer);
  for (const [word, some] of byFirst) byFirst.set(word, [...some, ...open].sort(closer));

  const most = 4_000;
  const deepest = 12;
  /** A part is sought wholly known before it is taken half known. Undefined: not known. */
  const kept = { whole: new Map<string, string | undefined>(), half: new Map<string, string | undefined>() };
  type Wanted = keyof typeof kept;

  function whole(text: string): string | undefined {
    const exact = wholes.get(text);
    if (exact !== undefined) return exact;
    const other = meant.get(lowered(text));
    if (other !== undefined) return inCaseOf(text, other, wholes.get(other) ?? other);
    return undefined;
  }
  function filled(text: string, depth: number): string | undefined {
    for (const template of byFirst.get(firstWord(text)) ?? open) {
      if (template.longest !== '' && !text.includes(template.longest)) continue;
      const match = template.pattern.exec(text);
      if (match === null) continue;
      const said = (phrases[template.english] ?? template.english).replaceAll(place, (_, _mark, n: string) => {
        const i = template.numbers.indexOf(Number(n));
        const content = match[i + 1] ?? '';
        return template.kept[i] === true ? content : (known(content, depth + 1, 'half') ?? content);
      });
      return template.english.startsWith('{') ? said : inCaseOf(text, template.english, said);
    }
    return undefined;
  }
  const direct = (text: string, depth: number): string | undefined => whole(text) ?? filled(text, depth);
  /** The parts that are known, said; the others as they are. Where several together are one phrase, that goes first. */
  function joined(parts: readonly string[], between: string, depth: number, wanted: Wanted): string | undefined {
    if (parts.length < 2 || parts.includes('')) return undefined;
    const said: string[] = [];
    let some = false;
    for (let from = 0; from < parts.length; ) {
      let to = from === 0 ? parts.length - 1 : parts.length;
      let found: string | undefined;
      for (; to > from; to--) {
        const run = parts.slice(from, to).join(between);
        found = to - from > 1 ? direct(run, depth + 1) : known(run, depth + 1, wanted);
        if (found !== undefined) break;
      }
      if (found === undefined && wanted === 'whole') return undefined;
      some ||= found !== undefined;
      said.push(found ?? parts[from] ?? '');
      from = Math.max(to, from + 1);
    }
    return some ? said.join(between) : undefined;
  }
  /** Each with its point. */
  const sentences = (text: string): string[] => partsOf(text, '. ').map((part, i, every) => (i + 1 < every.length ? `${part}.` : part));
  function bracketed(text: string, depth: number, wanted: Wanted): string | undefined {
    const at = lastBracket(text);
    if (at < 0) return undefined;
    const both = [text.slice(0, at - 1), text.slice(at + 1, -1)] as const;
    const said = both.map((part) => known(part, depth + 1, wanted));
    const enough = wanted === 'whole' ? !said.includes(undefined) : said.some((one) => one !== undefined);
    return enough ? `${said[0] ?? both[0]} (${said[1] ?? both[1]})` : undefined;
  }
  /** What is named before the first colon, and what is said of it. */
  function headed(text: string, depth: number, wanted: Wanted): string | undefined {
    const [head, ...rest] = partsOf(text, ': ');
    return rest.length === 0 ? undefined : joined([head ?? '', rest.join(': ')], ': ', depth, wanted);
  }
  /** "red cells 300 mL" */
  function measured(text: string, depth: number, wanted: Wanted): string | undefined {
    const match = /^(.*\D) ([\d,.\u202f]+ m?L)$/s.exec(text);
    const thing = match === null ? undefined : known(match[1] ?? '', depth + 1, wanted);
    return thing === undefined ? undefined : `${thing} ${match?.[2] ?? ''}`;
  }
  function pieces(text: string, depth: number, wanted: Wanted): string | undefined {
    const clauses = (): string | undefined => joined(partsOf(text, '; '), '; ', depth, wanted);
    const said = wanted === 'whole' ? (joined(sentences(text), ' ', depth, wanted) ?? clauses()) : (clauses() ?? joined(sentences(text), ' ', depth, wanted));
    return said ?? bracketed(text, depth, wanted) ?? headed(text, depth, wanted) ?? joined(partsOf(text, ', '), ', ', depth, 'whole') ?? measured(text, depth, wanted);
  }
  function work(text: string, depth: number, wanted: Wanted): string | undefined {
    if (depth > deepest || text === '') return undefined;
    const said = direct(text, depth);
    if (said !== undefined) return said;
    // A number is known, and the same in every language unless the catalogue says otherwise.
    if (isQuantity.test(text)) return text;
    if (text.endsWith('.') && !text.endsWith('..')) {
      const bare = direct(text.slice(0, -1), depth);
      if (bare !== undefined) return `${bare}.`;
    } else {
      const ended = whole(`${text}.`);
      if (ended !== undefined) return ended.replace(/\.$/, '');
    }
    return pieces(text, depth, 'whole') ?? (wanted === 'half' ? pieces(text, depth, 'half') : undefined);
  }
  function known(text: string, depth: number, wanted: Wanted): string | undefined {
    const before = kept[wanted];
    if (before.has(text)) return before.get(text);
    const said = work(text, depth, wanted);
    if (before.size >= most) before.clear();
    before.set(text, said);
    return said;
  }
  return (english) => known(english.trimEnd(), 0, 'half') ?? english;
}
