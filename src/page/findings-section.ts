import { isFailing, LEVELS } from '../kit/finding.js';
import { mendingOrder } from '../kit/mending-order.js';
import type { Rule } from '../kit/rule.js';
import type { AssetPictures } from '../report/asset-pictures.js';
import { counted, unreadableWords, waiverWords } from '../report/finding-words.js';
import { otherPlaces, othersWords } from '../report/places.js';
import type { AssetReport, FindingReport, ReportHead } from '../report/report-types.js';
import { nameText, text } from './markup.js';
import { measureBar } from './measure-bar.js';
import { capital } from './overview-section.js';

interface FindingsSource {
  readonly head: ReportHead;
  readonly asset: AssetReport;
  readonly pictures: AssetPictures | null;
  readonly rules: readonly Rule[];
  readonly order: readonly string[] | null;
}

/** All findings of one rule and level, as a person works through them. */
interface Group {
  readonly rule: Rule;
  readonly level: FindingReport['level'];
  readonly waived: boolean;
  /** With their index in the report. */
  readonly findings: readonly (readonly [number, FindingReport])[];
}

/** The findings by rule and level, what is mended first at the top; waived ones last. */
export function findingsSection(source: FindingsSource): string {
  const { asset } = source;
  if (asset.unreadable !== null)
    return `<section id="findings" aria-labelledby="findings-title"><h2 id="findings-title">Why it could not be read</h2><p>${text(unreadableWords(asset.unreadable))}</p></section>`;
  const groups = groupsOf(source);
  const inner =
    groups.length === 0
      ? asset.rigs.length === 0
        ? '<p>There was nothing to measure.</p>'
        : '<p>No fault was found.</p>'
      : `<p class="aside">What to fix first is at the top. ${asset.rigs.length === 0 ? '' : ' The numbers are the same as on the sheet.'}</p>${groups.map((group) => groupHtml(group, source)).join('\n')}`;
  return `<section id="findings" aria-labelledby="findings-title">
<h2 id="findings-title">Findings</h2>
${inner}
</section>`;
}

function groupsOf({ asset, rules, order }: FindingsSource): Group[] {
  const groups = rules.flatMap((rule) =>
    LEVELS.flatMap((level) =>
      [false, true].flatMap((waived): Group[] => {
        const findings = [...asset.findings.entries()].filter(
          ([, finding]) =>
            finding.rule === rule.id &&
            finding.level === level &&
            (finding.waived !== undefined) === waived,
        );
        return findings.length === 0 ? [] : [{ rule, level, waived, findings }];
      }),
    ),
  );
  const place = ({ rule, waived }: Group): number =>
    waived || order === null ? 0 : order.indexOf(rule.id);
  const late = ({ waived }: Group): number => (waived ? 1 : 0);
  const mended = (a: Group, b: Group): number =>
    mendingOrder({ level: a.level, rule: a.rule.id }, { level: b.level, rule: b.rule.id });
  return groups.sort((a, b) => late(a) - late(b) || place(a) - place(b) || mended(a, b));
}

function groupHtml({ rule, level, waived, findings }: Group, source: FindingsSource): string {
  const { head, asset } = source;
  const serious = !waived && isFailing(level, head.failing);
  const count =
    findings.length === 1
      ? ''
      : ` <span class="count">${counted(findings.length, 'finding')}</span>`;
  const state = waived ? 'waived' : serious ? 'makes the rig unsound' : '';
  return `<section class="group ${waived ? 'waived' : level}">
<h3><span class="level">${capital(level)}</span> ${text(capital(rule.title))}${count}</h3>
<p class="rule"><code>${rule.id}</code>${state === '' ? '' : ` <strong>${state}</strong>`}</p>
<p class="why">${text(rule.why)} <span class="source">Source: ${text(rule.source)}.</span></p>
${findings.map(([index, finding]) => findingHtml(index, finding, asset, source.pictures)).join('\n')}
</section>`;
}

function findingHtml(
  index: number,
  finding: FindingReport,
  asset: AssetReport,
  pictures: AssetPictures | null,
): string {
  const { place, rig, message, remedy, consequences, waived, beyond = [] } = finding;
  const of = rig === null ? '' : ` data-rig="${rig}"`;
  const joint = place.joint === null ? '' : ` data-joint="${place.joint}"`;
  const where = asset.rigs.length > 1 && rig !== null ? `${asset.rigs[rig]?.name}: ` : '';
  const drawing = pictures?.findings[index] ?? null;
  const lines = [
    `<p class="message">${text(message)}</p>`,
    measureBar(finding),
    ...(remedy === '' ? [] : [`<p class="remedy"><strong>Mend:</strong> ${text(remedy)}</p>`]),
    placesHtml(index, finding),
    ...consequences.map(
      (words) => `<p class="consequence">Because of this fault: ${text(words)}</p>`,
    ),
    ...beyond.map((words) => `<p class="waiver">${text(words)}</p>`),
    ...(waived === undefined ? [] : [`<p class="waiver">${text(waiverWords(waived))}</p>`]),
    `<button type="button" class="show" hidden aria-label="Show in the live view: finding ${index + 1}, ${nameText(place.name)}">Show in the live view</button>`,
  ];
  return `<article class="finding" id="finding-${index + 1}" data-finding="${index}"${of}${joint}>
<h4><span class="number">${index + 1}</span> ${nameText(`${where}${place.name}`)}</h4>
<p class="path">${nameText(place.path)}</p>
<div class="told">${lines.filter((line) => line !== '').join('\n')}</div>
${drawing === null ? '' : `<div class="drawing">${drawing}</div>`}
</article>`;
}

/** More places of one finding fold until they are asked for. */
const OPEN = 12;

/** What a finding lists besides its place; joints as buttons that lead into the view. */
function placesHtml(index: number, finding: FindingReport): string {
  const others = otherPlaces(finding);
  if (others.length === 0) return '';
  const rig = finding.rig === null ? '' : ` data-rig="${finding.rig}"`;
  const items = others.map(({ joint, name, path }) =>
    joint === null
      ? `<li>${nameText(path === '' ? name : path)}</li>`
      : `<li><button type="button" class="place" disabled title="${nameText(path)}" data-finding="${index}"${rig} data-joint="${joint}">${nameText(name)}</button></li>`,
  );
  const [head, list] = [
    `Also at ${othersWords(others)}`,
    `<ul class="places">${items.join('')}</ul>`,
  ];
  return others.length > OPEN
    ? `<details class="more"><summary>${head}</summary>${list}</details>`
    : `<p class="also">${head}:</p>${list}`;
}
