import { findingNumbers } from '../report/finding-numbers.js';
import { counted, passedWords } from '../report/finding-words.js';
import { placeJoints } from '../report/places.js';
import type { AssetReport, RigReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';
import { nameText, text } from './markup.js';

/** A tree deeper than this goes on at the same depth: a chain of thousands would be all indent. */
const DEEPEST = 24;
/** A tree of more joints is folded. */
const MOST_OPEN = 120;

/** The joints of every rig as a tree of buttons; findings are named at their joint. */
export function jointsSection(asset: AssetReport): string {
  return `<section id="joints" aria-labelledby="joints-title">
<h2 id="joints-title">Joints</h2>
${asset.rigs.map((rig) => rigTree(rig, asset)).join('\n')}
</section>`;
}

function rigTree(rig: RigReport, asset: AssetReport): string {
  const numbers = findingNumbers(asset.findings);
  const places = asset.findings.flatMap((finding, index) => {
    const joints = finding.rig === rig.index ? placeJoints(finding) : [];
    return joints.map((joint) => ({ joint, number: numbers[index] ?? 0 }));
  });
  places.sort((a, b) => a.number - b.number);
  const byJoint = groupBy(places, ({ joint }) => joint);
  const depths: number[] = [];
  const lines: string[] = [];
  let open = -1;
  rig.joints.forEach(({ name, parent, movesSkin }, joint) => {
    const depth = parent === -1 ? 0 : Math.min(DEEPEST, (depths[parent] ?? 0) + 1);
    depths[joint] = depth;
    // Joints come in tree order, so that lists only open one deeper and close down to a depth.
    lines.push(depth > open ? '<ul>' : `</li>${'</ul></li>'.repeat(open - depth)}`);
    open = depth;
    const links = (byJoint.get(joint) ?? []).map(
      ({ number }) => ` <a class="number" href="#finding-${number}">${number}</a>`,
    );
    const still = movesSkin ? '' : ' <span class="still">moves no skin</span>';
    lines.push(
      `<li><button type="button" class="joint" disabled data-rig="${rig.index}" data-joint="${joint}">${nameText(name)}</button>${still}${links.join('')}`,
    );
  });
  lines.push(`</li></ul>${'</li></ul>'.repeat(Math.max(0, open))}`);
  return `<details class="tree"${rig.joints.length <= MOST_OPEN ? ' open' : ''}><summary>${nameText(rig.name)}: ${counted(rig.joints.length, 'joint')}</summary>
${lines.join('\n')}
</details>`;
}

/** What every rule was measured on: a rule without a finding did run. */
export function measuredSection(asset: AssetReport): string {
  return `<section id="measured" aria-labelledby="measured-title">
<h2 id="measured-title">What was measured</h2>
${asset.rigs.map(measuredTable).join('\n')}
</section>`;
}

function measuredTable({ name, measured }: RigReport): string {
  const rows = measured.map((entry) => {
    const words = entry.kind === 'judged' ? passedWords(entry) : `not applicable: ${entry.because}`;
    return `<tr><th scope="row"><code>${entry.rule}</code></th><td>${text(words)}</td></tr>`;
  });
  return `<details class="measured"><summary>${nameText(name)}: ${measured.length} rules</summary>
<table><thead><tr><th scope="col">Rule</th><th scope="col">Passed on</th></tr></thead><tbody>
${rows.join('\n')}
</tbody></table>
<p class="aside">A fault counts once, for the rule that reports it. What is only a result of it does not count against other rules.</p></details>`;
}
