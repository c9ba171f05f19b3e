import { DRAWING_CSS } from '../draw/drawing-css.js';
import { familyOf } from '../kit/mending-order.js';
import type { Rule } from '../kit/rule.js';
import { dataBlock, nameText, text, wholePage } from '../page/markup.js';
import type { SetRules } from '../report/limit-words.js';
import { standardWords } from '../report/standard-words.js';
import { groupBy } from '../rig/group-by.js';
import { COURSE, FORMULAS, TERMS, WORKING } from './course/course-words.js';
import { entryHtml } from './entry-html.js';
import { FAMILY_TITLES } from './family-titles.js';
import type { DrawnPair, HandbookData } from './handbook-data.js';
import { HANDBOOK_STYLE } from './handbook-style.js';
import { IN_THE_FILE } from './steps/following.js';
import { STEPS } from './steps/index.js';

/** What a handbook is written from. */
export interface HandbookSource {
  /** The rules that it explains, in order. */
  readonly rules: readonly Rule[];
  /** Whether these are all that there are: then the course is at its head. */
  readonly isWhole: boolean;
  readonly data: HandbookData;
  /** Turns the pairs; a classic script. */
  readonly script: string;
  /** What a standard sets; null for no standard. */
  readonly set: SetRules | null;
  /** Rules whose entries say that `trysquare mend` has a repair for them. */
  readonly mendable: ReadonlySet<string>;
  /** Name and version. */
  readonly tool: string;
}

/** The handbook, or a part of it: one self-contained file, which can be read without a script. */
export function writeHandbook(source: HandbookSource): string {
  const { rules, isWhole, data, script, set, mendable, tool } = source;
  const ids = new Set(rules.map(({ id }) => id));
  const isFollowed = rules.some(({ id }) =>
    STEPS[id]?.some((step) => step.includes(FORMULAS_LINK)),
  );
  const has = (id: string): boolean => ids.has(id);
  const families = [...groupBy(rules, ({ id }) => familyOf(id))];
  const [only] = rules;
  const title = rules.length === 1 && only ? `Handbook: ${only.id}` : 'Handbook';
  const sections = families.map(([family, list]) => {
    const entries = list.map((rule) =>
      entryHtml({ rule, pair: data.pairs[rule.id], set, isMendable: mendable.has(rule.id), has }),
    );
    return `<section class="family" aria-labelledby="family-${text(family)}">
<h2 id="family-${text(family)}">${text(familyTitle(family))}</h2>
${entries.join('\n')}
</section>`;
  });
  const followed = isFollowed ? formulas() : '';
  const body = [
    symbolsOf(rules, isWhole, data),
    `<header class="top"><h1>${text(isWhole ? 'The handbook' : title)}</h1>
<p class="lead">${isWhole ? LEAD : 'What to do about a finding, and why.'}</p></header>`,
    rules.length > 1 ? contents(families, isWhole) : '',
    '<main>',
    isWhole ? course(data.course) + working() : '',
    // Who asks for one rule reads that first.
    ...(isWhole ? [followed, ...sections] : [...sections, followed]),
    terms(),
    '</main>',
    `<footer><p>Written by ${text(tool)}. ${limitsOf(set)} Everything is in this one file; it loads nothing.</p></footer>`,
    liveBlock(rules, data),
  ];
  return wholePage({
    title: `${title} - trysquare`,
    style: `${DRAWING_CSS}\n${HANDBOOK_STYLE}`,
    body: body.filter((part) => part !== '').join('\n'),
    script,
  });
}

/** Whose the limits and levels are. */
function limitsOf(set: SetRules | null): string {
  return set === null
    ? 'Limits and levels are those of the rules; a standard can set others.'
    : `Limits and levels are those of ${standardWords(set.standard, set.above, nameText)}; what it does not set is the default.`;
}

const FORMULAS_LINK = `[${IN_THE_FILE}]`;

const LEAD =
  'First a short course: how to lay a chain that curls in its plane. Then every rule: what a finding looks like, what to do step by step, and why. All drawings are of the cast of a lantern-puppet theatre.';

function familyTitle(family: string): string {
  return FAMILY_TITLES[family] ?? family;
}

function contents(
  families: readonly (readonly [family: string, rules: readonly Rule[]])[],
  isWhole: boolean,
): string {
  const rows = families.map(
    ([family, rules]) =>
      `<li><a class="family-link" href="#family-${text(family)}">${text(familyTitle(family))}</a> <span>${rules
        .map(({ id }) => `<a href="#${text(id)}"><code>${text(id)}</code></a>`)
        .join(' ')}</span></li>`,
  );
  const head = isWhole
    ? '<p class="head-links"><a href="#course">The course</a> <a href="#working">How to work off a finding</a> <a href="#in-the-file">In the file</a> <a href="#terms">Words</a></p>'
    : '';
  return `<nav aria-label="Contents"><h2>Contents</h2>${head}
<ul class="contents">${rows.join('\n')}</ul></nav>`;
}

function course(pictures: readonly string[]): string {
  const steps = COURSE.map(
    ({ title, words }, at) => `<li class="step">
<h3><span class="number" aria-hidden="true">${at + 1}</span> ${text(title)}</h3>
<figure>${pictures[at] ?? ''}</figure>
${words.map((each) => `<p>${text(each)}</p>`).join('\n')}
</li>`,
  );
  return `<section id="course" aria-labelledby="course-title">
<h2 id="course-title">The course: a chain that curls in its plane</h2>
<p class="lead">Six steps, on the front half of the caterpillar. They are the same in any program.</p>
<ol class="steps">${steps.join('\n')}</ol>
</section>`;
}

function working(): string {
  const items = WORKING.map((each) => `<li>${text(each)}</li>`);
  return `\n<section id="working" class="do" aria-labelledby="working-title"><h2 id="working-title">How to work off a finding</h2><ol>${items.join('\n')}</ol></section>`;
}

function formulas(): string {
  const rows = FORMULAS.map(
    ([term, formula, meaning]) =>
      `<div><dt>${text(term)}</dt><dd><strong>${text(formula)}</strong><br>${text(meaning)}</dd></div>`,
  );
  return `<section id="${IN_THE_FILE}" class="entry" aria-labelledby="${IN_THE_FILE}-title"><h2 id="${IN_THE_FILE}-title">In the file</h2>
<p>What follows when a joint gets another frame, parent or place. Most programs do it for you. Whoever changes the file with a script does it with these formulas. A transform is a 4 × 4 matrix, × is the matrix product, and the transform on the right is done first.</p>
<dl class="facts">${rows.join('\n')}</dl></section>`;
}

function terms(): string {
  const rows = TERMS.map(
    ([term, meaning]) => `<div><dt>${text(term)}</dt><dd>${text(meaning)}</dd></div>`,
  );
  return `<section id="terms" aria-labelledby="terms-title"><h2 id="terms-title">Words</h2><dl class="facts">${rows.join('\n')}</dl></section>`;
}

/** The silhouettes that what is on the page refers to. */
function symbolsOf(rules: readonly Rule[], isWhole: boolean, data: HandbookData): string {
  const drawings = rules.flatMap(({ id }) => {
    const pair = data.pairs[id];
    return pair === undefined ? [] : [pair.atFault, pair.mended];
  });
  const all = (isWhole ? [...drawings, ...data.course] : drawings).join('');
  const used = new Set([...all.matchAll(/href="#([\w-]+)"/g)].map(([, id = '']) => id));
  const symbols = [...used].map((id) => data.symbols[id] ?? '');
  return `<svg class="drawing-defs" width="0" height="0" aria-hidden="true">${symbols.join('')}</svg>`;
}

/** What the script turns, with only the packed numbers that this page uses. */
function liveBlock(rules: readonly Rule[], { pairs, pool }: HandbookData): string {
  const live = rules.flatMap(({ id }): [string, DrawnPair['live']][] => {
    const pair = pairs[id]?.live ?? null;
    return pair === null ? [] : [[id, pair]];
  });
  if (live.length === 0) return '';
  const kept = new Map<number, number>();
  const json = JSON.stringify(Object.fromEntries(live), (key, value: unknown) => {
    if (key !== 'at' || typeof value !== 'number') return value;
    const at = kept.get(value) ?? kept.size;
    kept.set(value, at);
    return at;
  });
  const texts = [...kept.keys()].map((at) => pool[at] ?? '');
  return dataBlock('handbook-live', `{"pool":${JSON.stringify(texts)},"pairs":${json}}`);
}
