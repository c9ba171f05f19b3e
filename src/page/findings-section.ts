import { angleWords, significant } from '../kit/figures.js';
import { isFailing, LEVELS } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import { findingNumbers } from '../report/finding-numbers.js';
import {
  counted,
  failedWords,
  unitAfter,
  unreadableWords,
  waiverWords,
} from '../report/finding-words.js';
import { otherPlaces, othersWords, pathOf } from '../report/places.js';
import type { FindingReport } from '../report/report-types.js';
import { termsOf } from '../report/terms-of.js';
import { capital, nameText, pathText, text } from './markup.js';
import type { PageSource } from './page-source.js';
import { ruleMark } from './rule-mark.js';

/** More places of one finding are folded. */
const OPEN = 12;
/** Units that the bar of a measure is wide. */
const BAR_WIDTH = 200;
/** Where the limit is drawn at least, as a share of the width, when the measure is past it. */
const LEAST_LIMIT = 0.08;
/** A measure below this is shown as 0, in any unit. */
const LEAST_SHOWN = 1e-4;

const READ_IT =
  '<strong>What to do:</strong> Copy the file again, or export it again, and check it again. If the reason above names an extension or a limit, change that in the export first.';

interface Numbered {
  readonly finding: FindingReport;
  readonly index: number;
  readonly number: number;
}

/** All findings of one rule and level, waived or not. */
interface Group {
  readonly rule: Rule;
  readonly level: FindingReport['level'];
  readonly waived: boolean;
  /** By their number, with their index in the report. */
  readonly findings: readonly Numbered[];
}

/** The findings by rule and level, what is mended first at the top; waived ones last. */
export function findingsSection(source: PageSource): string {
  const { rigs, unreadable, asked } = source.asset;
  if (unreadable !== null)
    return `<section id="findings" aria-labelledby="findings-title"><h2 id="findings-title">Why it could not be read</h2><p>${text(capital(unreadableWords(unreadable)))}</p>
<p>${READ_IT}</p></section>`;
  const all = groupsOf(source);
  const told = new Map(all.toReversed().map((group) => [group.rule, group] as const));
  // Why a rule matters is told where it stands first.
  const groups = all.map((group) => groupHtml(group, told.get(group.rule) === group, source));
  const failed = (source.asset.failed ?? []).map(
    (each) => `<p class="aside">${text(failedWords(each, source.asset))}</p>`,
  );
  const numbers =
    rigs.length === 0 ? '' : ' The numbers are the same on the sheet and in the report as text.';
  const first = groups.length > 1 ? 'What to fix first is at the top.' : '';
  const isIdle = rigs.length === 0 && asked === undefined;
  const none = isIdle ? 'There was nothing to measure.' : 'No fault was found.';
  const inner =
    groups.length === 0
      ? `<p>${none}</p>`
      : `${first + numbers === '' ? '' : `<p class="aside">${(first + numbers).trim()}</p>`}${groups.join('\n')}`;
  return `<section id="findings" aria-labelledby="findings-title">
<h2 id="findings-title">Findings</h2>
${[...failed, inner].join('\n')}
</section>`;
}

function groupsOf({ asset, rules, order }: PageSource): Group[] {
  const numbers = findingNumbers(asset.findings);
  const all = asset.findings
    .map((finding, index): Numbered => ({ finding, index, number: numbers[index] ?? 0 }))
    .sort((a, b) => a.number - b.number);
  const groups = rules.flatMap((rule) =>
    LEVELS.flatMap((level) =>
      [false, true].map((waived): Group => {
        const findings = all.filter(
          ({ finding }) =>
            finding.rule === rule.id &&
            finding.level === level &&
            (finding.waived !== undefined) === waived,
        );
        return { rule, level, waived, findings };
      }),
    ),
  );
  const place = ({ rule, waived }: Group): number =>
    waived || order === null ? 0 : order.indexOf(rule.id);
  const first = ({ findings }: Group): number => findings[0]?.number ?? 0;
  return groups
    .filter(({ findings }) => findings.length > 0)
    .sort(
      (a, b) => Number(a.waived) - Number(b.waived) || place(a) - place(b) || first(a) - first(b),
    );
}

function groupHtml(
  { rule, level, waived, findings }: Group,
  isFirst: boolean,
  source: PageSource,
): string {
  const serious = !waived && isFailing(level, termsOf(source.asset, source.head).failing);
  const { length } = findings;
  const count = length === 1 ? '' : ` <span class="count">${counted(length, 'finding')}</span>`;
  const strong = (words: string): string => ` <strong>${words}</strong>`;
  const state = waived ? strong('waived') : serious ? strong('makes the rig unsound') : '';
  return `<section class="group ${waived ? 'waived' : level}">
<h3><span class="level">${capital(level)}</span> ${text(capital(rule.title))}${count}</h3>
<p class="rule">${ruleMark(rule.id, source.handbook)}${state}</p>
${isFirst ? `<p class="why">${text(rule.why)} <span class="source">Source: ${text(rule.source)}.</span></p>\n` : ''}${findings.map((numbered) => findingHtml(numbered, source)).join('\n')}
</section>`;
}

function findingHtml({ finding, index, number }: Numbered, source: PageSource): string {
  const { asset, pictures } = source;
  const { place, rig, message, remedy, consequences, waived, beyond = [] } = finding;
  const joint = place.joint === null ? '' : ` data-joint="${place.joint}"`;
  const where = asset.rigs.length > 1 && rig !== null ? `${asset.rigs[rig]?.name}: ` : '';
  const drawing = pictures?.findings[index] ?? null;
  const lines = [
    `<p class="message">${text(message)}</p>`,
    measureBar(finding),
    remedy === '' ? '' : `<p class="remedy"><strong>Mend:</strong> ${text(remedy)}</p>`,
    placesHtml(index, finding),
    ...consequences.map(
      (words) => `<p class="consequence">Because of this fault: ${text(words)}</p>`,
    ),
    ...[...beyond, ...(waived === undefined ? [] : [waiverWords(waived)])].map(
      (words) => `<p class="waiver">${text(words)}</p>`,
    ),
    place.joint === null
      ? ''
      : `<button type="button" class="show" aria-label="Show in the live view: finding ${number}, ${nameText(place.name)}">Show in the live view</button>`,
  ];
  return `<article class="finding" id="finding-${number}" tabindex="-1" data-finding="${index}"${rigAttribute(finding)}${joint}>
<h4><span class="number">${number}</span> ${nameText(`${where}${place.name}`)}</h4>
<p class="path">${pathText(place.path)}</p>
<div class="told">${lines.filter((line) => line !== '').join('\n')}</div>
${drawing === null ? '' : `<div class="drawing">${drawing}</div>`}
</article>`;
}

function rigAttribute({ rig }: FindingReport): string {
  return rig === null ? '' : ` data-rig="${rig}"`;
}

/** The other places of a finding; joints as buttons that lead into the view. */
function placesHtml(index: number, finding: FindingReport): string {
  const others = otherPlaces(finding);
  if (others.length === 0) return '';
  const entries = others.map((place) => {
    const { joint, name, path } = place;
    return joint === null
      ? `<li>${nameText(pathOf(place))}</li>`
      : `<li><button type="button" class="place" disabled title="${nameText(path)}" data-finding="${index}"${rigAttribute(finding)} data-joint="${joint}">${nameText(name)}</button></li>`;
  });
  const head = `Also at ${othersWords(others)}`;
  const list = `<ul class="places">${entries.join('')}</ul>`;
  return others.length > OPEN
    ? `<details class="more"><summary>${head}</summary>${list}</details>`
    : `<p class="also">${head}:</p>${list}`;
}

/** The measure as a bar against its limit, with both in words; empty where there is no measure. */
function measureBar({ measured, limit, unit }: FindingReport): string {
  if (measured === null || limit === null || !(measured >= 0) || !(limit > 0)) return '';
  // Below a limit that is a least value.
  const bound = measured < limit ? 'limit at least' : 'limit';
  const words = text(`${inUnit(measured, unit)} measured, ${bound} ${inUnit(limit, unit)}`);
  const most = Math.max(measured, limit);
  const round = (value: number): number => Math.round(10 * value) / 10;
  const end = round(Math.max(2, (BAR_WIDTH * measured) / most));
  const mark = Math.max(BAR_WIDTH * LEAST_LIMIT, (BAR_WIDTH * limit) / most);
  return `<p class="measure"><svg class="bar" viewBox="0 0 ${BAR_WIDTH} 12" width="${BAR_WIDTH}" height="12" role="img" aria-label="${words}"><rect class="bar-room" x="0" y="3" width="${BAR_WIDTH}" height="6" rx="3"/><rect class="bar-measured" x="0" y="3" width="${end}" height="6" rx="3"/><rect class="bar-limit" x="${round(Math.min(mark, BAR_WIDTH - 2))}" y="0" width="2" height="12"/></svg> <span>${words}</span></p>`;
}

function inUnit(value: number, unit: string): string {
  if (unit === 'degrees') return angleWords(value);
  const number = value < LEAST_SHOWN ? '0' : significant(value);
  return unit === '' ? number : `${number} ${unitAfter(number, unit)}`;
}
