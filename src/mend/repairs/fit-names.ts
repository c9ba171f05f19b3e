import type { Facts } from '../../measure/facts.js';
import { differences } from '../../measure/fit/differences.js';
import { matching } from '../../measure/fit/matching.js';
import { otherNames } from '../../measure/fit/other-names.js';
import type { FindingReport } from '../../report/report-types.js';
import type { Rig } from '../../rig/types.js';
import { references } from '../joints/joint-references.js';
import { type AskedName, settleNames } from '../names/settle-names.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Gives joints the names that they have in the approved rig, left and right that have each other's
 * included: clips of other files find joints by their names. Clips of the own file go by index.
 */
export const fitNames: Repair = {
  name: 'approved names',
  tells: 'Joints with another name than in the approved rig that `--like` names get that name.',
  rules: ['fit.missing'],
  isBold: true,
  overrules: ['name.missing', 'name.duplicate', 'name.default', 'name.side'],
  mend(context: MendContext): Mended {
    const { edit, model, findings } = context;
    const asked: (AskedName & { readonly place: string })[] = [];
    const left: LeftAlone[] = [];
    /** Nodes that have a name of the approved rig already, which it may give to several joints. */
    const rightful = new Map<number, string>();
    for (const rig of model.rigs) {
      const own = findings.filter((finding) => finding.rig === rig.index);
      if (own.length === 0) continue;
      const facts = context.facts(rig);
      for (const [node, name] of approvedNames(facts)) rightful.set(node, name);
      const across = hungAcross(facts);
      for (const found of namesFound(facts, own))
        if (across.has(found.joint)) left.push({ rule: RULE, place: found.place, why: WHY_ACROSS });
        else asked.push(found);
      for (const finding of own)
        if (!isOfNames(finding))
          left.push({ rule: finding.rule, place: finding.place.path, why: finding.message });
    }
    const nodes = edit.json.nodes ?? [];
    const { words } = references(edit.json);
    const names = nodes.map(({ name }) => name ?? null);
    const settled = settleNames(names, asked, rightful, words);
    const changes: Change[] = [];
    for (const { node, name, place } of asked) {
      const why = settled.get(node);
      const json = nodes[node];
      if (why !== undefined) left.push({ rule: RULE, place, why });
      else if (json !== undefined) {
        const before = json.name === undefined ? 'no name' : `"${json.name}"`;
        changes.push({ rule: RULE, place, before, after: `"${name}", as in the approved rig` });
        json.name = name;
      }
    }
    return { changes, left };
  },
};

const RULE = 'fit.missing';

const WHY_ACROSS =
  'with the name of the other side it would hang on a joint of this side; check which of the two rigs has its sides right';

/** The aspects of findings about other names; all others are about joints that are not there. */
const OF_NAMES = ['spelled', 'stands', 'exchanged'];

function isOfNames({ aspect }: FindingReport): boolean {
  return aspect !== null && OF_NAMES.includes(aspect);
}

/** The names that the joints of some findings have in the approved rig. */
function namesFound(facts: Facts, findings: readonly FindingReport[]) {
  const places = findings.filter(isOfNames).flatMap((finding) => finding.places);
  const found = new Set(places.map(({ joint }) => joint));
  const { spelled, stands, exchanged } = otherNames(facts);
  const { joints } = facts.rig;
  const theirs = matching(facts)?.approved.joints;
  return [...spelled, ...stands, ...exchanged].flatMap(({ joint, approved }) => {
    const name = theirs?.named[approved] === true ? theirs.names[approved] : undefined;
    if (name === undefined || !found.has(joint)) return [];
    return [{ node: joints.node[joint] ?? -1, joint, name, place: joints.paths[joint] ?? '' }];
  });
}

/** Joints that would hang on one of this side with the name of the other, and what hangs on them alike. */
function hungAcross(facts: Facts): Set<number> {
  const { parent } = facts.rig.joints;
  const rehung = new Set(differences(facts).rehung.map(({ joint }) => joint));
  const across = new Set<number>();
  // In joint order: parents come first.
  for (const { joint } of otherNames(facts).exchanged)
    if (rehung.has(joint) || across.has(parent[joint] ?? -1)) across.add(joint);
  return across;
}

/** What the node of each joint that is matched is called in the approved rig. */
function approvedNames(facts: Facts): Map<number, string> {
  const match = matching(facts);
  const { node }: Rig['joints'] = facts.rig.joints;
  const names = new Map<number, string>();
  for (const [approved, joint] of match?.ofApproved.entries() ?? []) {
    const name = match?.approved.joints.names[approved];
    if (joint !== -1 && name !== undefined) names.set(node[joint] ?? -1, name);
  }
  return names;
}
