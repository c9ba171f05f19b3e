import type { Facts } from '../../measure/facts.js';
import { isEndTip } from '../../measure/names/sides.js';
import { pairs } from '../../measure/skeleton/pairs.js';
import { swappedSides } from '../../measure/skeleton/swapped-sides.js';
import type { Rig } from '../../rig/types.js';
import { references } from '../joints/joint-references.js';
import { Naming, TakenNames } from '../names/naming.js';
import { nameByPattern, WHY_LONELY } from '../names/pattern-names.js';
import { nameByRole } from '../names/role-names.js';
import {
  bareStem,
  commonSpelling,
  most,
  otherSide,
  respell,
  spell,
} from '../names/side-spelling.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Gives joints unique names: sides spelt as most of the rig spells them, a number for all but the first
 * of one name, and for one without a name, or with one that a program gave, the name of the joint above or its
 * role in the rig; by the pattern of the standard, if it has one. What only
 * a person knows (which side has no partner) is left alone.
 */
export const jointNames: Repair = {
  name: 'names',
  tells:
    'Joints get unique names, with sides written in one way, by the pattern of the standard if it has one.',
  rules: ['name.missing', 'name.duplicate', 'name.default', 'name.side'],
  isBold: true,
  mend(context: MendContext): Mended {
    const { edit, model, findings } = context;
    const left: LeftAlone[] = [];
    const changes: Change[] = [];
    const taken = new TakenNames(new Set((edit.json.nodes ?? []).map(({ name }) => name ?? '')));
    const { words } = references(edit.json);
    for (const rig of model.rigs) {
      const rigFindings = findings.filter((finding) => finding.rig === rig.index);
      const isFound = (id: string): boolean => rigFindings.some(({ rule }) => rule === id);
      const facts = context.facts(rig);
      const naming = new Naming(rig, taken, words);
      if (isFound('name.side')) {
        const { hung, limbs } = swappedSides(facts);
        const swapped = [...hung, ...limbs];
        // They are reported once, at the first joint.
        if (swapped.length > 0) naming.leave('name.side', Math.min(...swapped), WHY_SWAPPED);
      }
      const { names: pattern } = facts.wanted;
      if (pattern !== undefined) nameByPattern(pattern, facts, naming, isFound);
      else {
        if (isFound('name.side')) respellSides(facts, naming);
        if (isFound('name.default')) nameByRole(facts, naming, 'name.default');
        if (isFound('name.duplicate')) numberDuplicates(rig, naming);
        if (isFound('name.missing')) nameByRole(facts, naming, 'name.missing');
      }
      naming.names.forEach((name, joint) => {
        const node = edit.json.nodes?.[rig.joints.node[joint] ?? -1];
        if (node !== undefined && name !== null) node.name = name;
      });
      changes.push(...naming.changes);
      left.push(...naming.left);
    }
    return { changes, left };
  },
};

const WHY_SWAPPED =
  'clips in other files may use the swapped names; swap left and right in the program where the rig is made';

function numberDuplicates({ joints }: Rig, naming: Naming): void {
  const seen = new Set<string>();
  for (let joint = 0; joint < joints.count; joint++) {
    const name = naming.names[joint] ?? null;
    if (name === null) continue;
    if (seen.has(name)) naming.rename('name.duplicate', joint, naming.numbered(name));
    seen.add(name);
  }
}

function respellSides(facts: Facts, naming: Naming): void {
  const rule = 'name.side';
  const { joints } = facts.rig;
  const { named, partner } = pairs(facts);
  const spellings = named.map((side, joint) =>
    side === null || isEndTip(joints, joint) ? null : spell(joints.names[joint] ?? ''),
  );
  const all = spellings.filter((spelt) => spelt !== null);
  const common = most(all.map(({ style }) => style)) ?? 'letter-last';
  const spelling = commonSpelling(all, common);
  for (const [joint, spelt] of spellings.entries()) {
    if (spelt === null) continue;
    if (partner[joint] === -1 && spelt.apart) naming.leave(rule, joint, WHY_LONELY);
    if (spelt.style === common) continue;
    const other = spellings[partner[joint] ?? -1];
    const mirrors = other?.style === common && bareStem(other) === bareStem(spelt);
    const name = mirrors ? otherSide(other) : respell(spelt, spelling);
    if (name === null)
      naming.leave(rule, joint, 'its side cannot be moved to the place where most names have it');
    else if (naming.isTaken(name)) naming.leave(rule, joint, `another node is named "${name}"`);
    else naming.rename(rule, joint, name);
  }
}
