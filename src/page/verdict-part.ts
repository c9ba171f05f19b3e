import { numbersOf } from '../report/finding-numbers.js';
import { counted } from '../report/finding-words.js';
import type { FindingReport } from '../report/report-types.js';
import { termsOf } from '../report/terms-of.js';
import { label } from '../report/text-pen.js';
import { causeOf, firstStep, verdictCauses } from '../report/text-verdict.js';
import { capital, text } from './markup.js';
import type { PageSource } from './page-source.js';

/** Causes that are named; the findings below have them all. */
const NAMED = 6;

/** What makes an asset unsound and what to do first, each a link to its finding; empty where it is nothing. */
export function verdictPart({ head, asset, rules, order }: PageSource): string {
  const { failing } = termsOf(asset, head);
  const { causes, next } = verdictCauses(asset, failing);
  const numbers = numbersOf(asset.findings);
  const link = (finding: FindingReport, words: string): string =>
    `<a href="#finding-${numbers.get(finding) ?? 0}">${words}</a>`;
  const titleOf = (rule: string): string =>
    capital(rules.find(({ id }) => id === rule)?.title ?? rule);
  const entries = causes.slice(0, NAMED).flatMap((group) => {
    const [first] = group;
    if (first === undefined) return [];
    const number = `<span class="number">${numbers.get(first) ?? 0}</span>`;
    const title = link(first, `${number} <span>${text(titleOf(first.rule))}</span>`);
    return [
      `<li class="${first.level}">${title} <span class="where">${text(causeOf(group))}</span></li>`,
    ];
  });
  const more = causes.length - entries.length;
  if (more > 0) entries.push(`<li class="aside">and ${counted(more, 'more rule')}, below</li>`);
  const because =
    entries.length === 0
      ? ''
      : `<h2 class="small" id="causes-title">What makes it unsound</h2>
<ul class="causes" aria-labelledby="causes-title">${entries.join('')}</ul>
`;
  // Where what is worked through first was chosen by someone, the findings below say what that is.
  if (next === null || order !== null) return because;
  const number = numbers.get(next) ?? 0;
  return `${because}<p class="first"><strong>Do first${text(atWords(next))}:</strong> ${text(firstStep(next))} ${link(next, `See finding\u00a0${number}`)}</p>
`;
}

/** `, at "shin_L"`: many remedies do not say where. Nothing for a rig or a file, which are no places in the tree. */
function atWords({ place }: FindingReport): string {
  return place.kind === 'rig' || place.kind === 'asset' ? '' : `, at "${label(place.name)}"`;
}
