import { counted } from '../report/finding-words.js';
import { placeJoints } from '../report/places.js';
import type { AssetReport, RigReport } from '../report/report-types.js';
import { groupBy } from '../rig/group-by.js';
import { nameText } from './markup.js';

/** The joints of every rig as a tree of buttons; findings are named at their joint. */
export function jointsSection(asset: AssetReport): string {
  return `<section id="joints" aria-labelledby="joints-title">
<h2 id="joints-title">Joints</h2>
${asset.rigs.map((rig) => rigTree(rig, asset)).join('\n')}
</section>`;
}

/** A tree deeper than this goes on at the same depth: a chain of thousands would be all indent. */
const DEEPEST = 24;

function rigTree(rig: RigReport, asset: AssetReport): string {
  const found = asset.findings.flatMap((finding, index) => {
    const joints = finding.rig === rig.index ? placeJoints(finding) : [];
    return joints.map((joint) => ({ joint, number: index + 1 }));
  });
  const byJoint = groupBy(found, ({ joint }) => joint);
  const depths: number[] = [];
  const lines: string[] = [];
  let open = -1;
  rig.joints.forEach(({ name, parent, movesSkin }, joint) => {
    const depth = parent === -1 ? 0 : Math.min(DEEPEST, (depths[parent] ?? 0) + 1);
    depths[joint] = depth;
    // Joints come in tree order, so that lists only open one deeper and close down to a depth.
    if (depth > open) lines.push('<ul>');
    else lines.push(`</li>${'</ul></li>'.repeat(open - depth)}`);
    open = depth;
    const links = (byJoint.get(joint) ?? [])
      .map(({ number }) => `<a class="number" href="#finding-${number}">${number}</a>`)
      .join(' ');
    const still = movesSkin ? '' : ' <span class="still">moves no skin</span>';
    lines.push(
      `<li><button type="button" class="joint" disabled data-rig="${rig.index}" data-joint="${joint}">${nameText(name)}</button>${still}${links === '' ? '' : ` ${links}`}`,
    );
  });
  lines.push(`</li></ul>${'</li></ul>'.repeat(Math.max(0, open))}`);
  return `<details class="tree"${rig.joints.length <= 120 ? ' open' : ''}><summary>${nameText(rig.name)}: ${counted(rig.joints.length, 'joint')}</summary>
${lines.join('\n')}
</details>`;
}
