import type { Rule } from '../kit/rule.js';
import { levelsOfRule } from '../kit/rule.js';
import { nameText, text } from '../page/markup.js';
import { levelByWords, setLevel } from '../report/level-words.js';
import { byWords, limitWords, type SetRules, shownLimits } from '../report/limit-words.js';
import type { DrawnPair } from './handbook-data.js';
import { IN_THE_FILE } from './steps/following.js';
import { STEPS } from './steps/index.js';

/** What an entry is written from. */
export interface EntrySource {
  readonly rule: Rule;
  /** Absent for a rule of the house's own. */
  readonly pair: DrawnPair | undefined;
  /** What a standard sets; null for no standard. */
  readonly set: SetRules | null;
  /** Whether `trysquare mend` has a repair for it. */
  readonly isMendable: boolean;
  /** Whether the page has an entry of a rule, which another may lead to. */
  readonly has: (rule: string) => boolean;
}

/** One rule: its drawn pair, what to do, and what it rests on. */
export function entryHtml({ rule, pair, set, isMendable, has }: EntrySource): string {
  const { id, title, why, formula, remedy, source } = rule;
  const steps = STEPS[id] ?? [remedy];
  const shown = shownLimits(rule, set);
  const limits = shown.map(
    (limit) =>
      `<li>${text(limit.spec.tells)}: <strong>${text(limitWords(limit.spec, limit.value))}</strong>${nameText(byWords(limit))}</li>`,
  );
  const amounts = new Map(
    shown.map(({ name, spec, value }) => [name, limitWords(spec, value)] as const),
  );
  const items = steps.map((step) => `<li>${stepHtml(step, amounts, has)}</li>`).join('\n');
  const mend = isMendable
    ? `\n<p class="mend">trysquare has a mend for this. See its plan first: <code>trysquare mend rig.glb --only ${text(id)} --dry-run</code></p>`
    : '';
  return `<article class="entry" id="${text(id)}" aria-labelledby="${text(id)}-title">
<header><h3 id="${text(id)}-title">${text(capital(title))}</h3>
<p class="mark"><code>${text(id)}</code> ${levels(rule, set)}</p></header>
${pair === undefined ? '<p class="aside">A rule of the house. It has no drawing here.</p>' : pairHtml(pair)}
<section class="do"><h4>What to do</h4>
<ol>
${items}
</ol>${mend}</section>
${pair?.live ? `<section class="turn"><h4><span class="on-screen">Turn both</span><span class="on-paper">Both, turned</span></h4><div class="live" data-rule="${text(id)}" hidden></div><noscript><p class="aside">Scripts are turned off, so the pair cannot be turned here.</p></noscript></section>` : ''}
<dl class="facts">
<div><dt>Why</dt><dd>${text(why)}</dd></div>
<div><dt>How it is measured</dt><dd>${text(formula)}</dd></div>
<div><dt>Limit</dt><dd>${limits.length === 0 ? 'none that can be set' : `<ul>${limits.join('')}</ul>`}</dd></div>
<div><dt>Source</dt><dd>${text(source)}</dd></div>
</dl>
</article>`;
}

function pairHtml({ character, tells, message, remedy, atFault, mended }: DrawnPair): string {
  const name = character.replace('-', ' ');
  return `<div class="pair">
<figure class="at-fault"><figcaption><strong>At fault</strong></figcaption>${atFault}</figure>
<figure class="mended"><figcaption><strong>Mended</strong></figcaption>${mended}</figure>
</div>
<p class="said">The ${text(name)}: ${text(tells)}. <span>A finding reads:</span> ${text(`${message} ${remedy}`.trim())}</p>`;
}

/** The levels of a rule; where a standard sets another, that one, and who set it. */
function levels(rule: Rule, set: SetRules | null): string {
  const own = setLevel(rule, set);
  const badges = (own === null ? levelsOfRule(rule) : [own]).map(
    (level) => `<span class="level ${level}">${level === 'none' ? 'switched off' : level}</span>`,
  );
  const by = levelByWords(rule, set).trim();
  return [...badges, ...(by === '' ? [] : [`<span class="by">${nameText(by)}</span>`])].join(' ');
}

/** A step with its limits filled in and its links made, where they lead somewhere. */
function stepHtml(
  step: string,
  amounts: ReadonlyMap<string, string>,
  has: (rule: string) => boolean,
): string {
  return step
    .split(/(\{\w+\}|\[[a-z]+[.-][a-z-]+\])/)
    .map((part) => {
      if (part.startsWith('{')) return text(amounts.get(part.slice(1, -1)) ?? part);
      if (!part.startsWith('[')) return text(part);
      const other = text(part.slice(1, -1));
      if (other === IN_THE_FILE) return `<a href="#${IN_THE_FILE}">In the file</a>`;
      return has(part.slice(1, -1))
        ? `<a href="#${other}"><code>${other}</code></a>`
        : `<code>${other}</code>`;
    })
    .join('');
}

function capital(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
