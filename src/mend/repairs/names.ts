import type { SideStyle } from '../../measure/names/sides.js';
import { isEndTip } from '../../measure/names/sides.js';
import { pairs } from '../../measure/skeleton/pairs.js';
import { swappedSides } from '../../measure/skeleton/swapped-sides.js';
import type { Rig } from '../../rig/types.js';
import { references } from '../joints/joint-references.js';
import { Naming, TakenNames } from '../names/naming.js';
import { nameByPattern, WHY_DEFAULT, WHY_LONELY } from '../names/pattern-names.js';
import { bareStem, commonSpelling, otherSide, respell, spell } from '../names/side-spelling.js';
import type { Change, LeftAlone, MendContext, Mended, Repair } from '../repair.js';

/**
 * Gives joints names of their own: sides spelt as most of the rig spells them, a number to all but the
 * first of one name, and to a joint without one its parent's with a number; where the standard has a
 * pattern, by that. What only a person knows (which side has no partner; without a pattern, what "joint
 * 12" is) is left alone.
 */
export const jointNames: Repair = {
  name: 'names',
  tells:
    'Joints get unique names, with sides written in one way, by the pattern of the standard if it has one.',
  rules: ['name.missing', 'name.duplicate', 'name.default', 'name.side'],
  mend(context: MendContext): Mended {
    const { edit, model, findings } = context;
    const left: LeftAlone[] = [];
    const changes: Change[] = [];
    const taken = new TakenNames(new Set((edit.json.nodes ?? []).map(({ name }) => name ?? '')));
    const spokenOf = references(edit.json).words;
    for (const rig of model.rigs) {
      const ownFindings = (rule: string) =>
        findings.filter((finding) => finding.rule === rule && finding.rig === rig.index);
      const told = (rule: string): boolean => ownFindings(rule).length > 0;
      const naming = new Naming(rig, taken, spokenOf);
      if (told('name.side')) leaveSwapped(context, rig, naming);
      const { names: pattern } = context.facts(rig).wanted;
      if (pattern !== undefined) nameByPattern(pattern, context.facts(rig), naming, told);
      else {
        for (const { place } of ownFindings('name.default'))
          naming.left.push({ rule: 'name.default', place: place.path, why: WHY_DEFAULT });
        if (told('name.side')) respellSides(context, rig, naming);
        if (told('name.duplicate')) numberDuplicates(rig, naming);
        if (told('name.missing')) nameAfterParents(rig, naming);
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

/** Sides that are swapped are told by one line, at the first joint. */
function leaveSwapped({ facts }: MendContext, rig: Rig, naming: Naming): void {
  const { hung, limbs } = swappedSides(facts(rig));
  const [first] = [...hung, ...limbs].sort((a, b) => a - b);
  if (first !== undefined) naming.leave('name.side', first, WHY_SWAPPED);
}

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

/** Parents stand before their children, so that a run of nameless joints counts on. */
function nameAfterParents({ joints }: Rig, naming: Naming): void {
  const bases = new Map<number, string>();
  for (let joint = 0; joint < joints.count; joint++) {
    if (naming.names[joint] != null) continue;
    const parent = joints.parent[joint] ?? -1;
    const above = bases.get(parent) ?? naming.names[parent] ?? null;
    const base = above ?? 'root';
    const free = above === null && !naming.isTaken(base);
    naming.rename('name.missing', joint, free ? base : naming.numbered(base));
    bases.set(joint, base);
  }
}

function respellSides({ facts }: MendContext, rig: Rig, naming: Naming): void {
  const rule = 'name.side';
  const { named, partner } = pairs(facts(rig));
  const sided = named.flatMap((item, joint) => {
    const isTip = isEndTip(rig.joints, joint);
    const spelt = item === null || isTip ? null : spell(rig.joints.names[joint] ?? '');
    return spelt === null ? [] : [{ joint, spelt }];
  });
  const common = commonStyle(sided.map(({ spelt }) => spelt.style));
  const spelling = commonSpelling(
    sided.map(({ spelt }) => spelt),
    common,
  );
  const spellings = new Map(sided.map(({ joint, spelt }) => [joint, spelt]));
  for (const { joint, spelt } of sided) {
    if (partner[joint] === -1 && spelt.apart) naming.leave(rule, joint, WHY_LONELY);
    if (spelt.style === common) continue;
    const other = spellings.get(partner[joint] ?? -1);
    const mirrors = other?.style === common && bareStem(other) === bareStem(spelt);
    const made = mirrors ? otherSide(other) : respell(spelt, spelling);
    if (made === null)
      naming.leave(rule, joint, 'its side cannot be moved to the place where most names have it');
    else if (naming.isTaken(made)) naming.leave(rule, joint, `another node is named "${made}"`);
    else naming.rename(rule, joint, made);
  }
}

/** What most names follow; of equals what came first. */
function commonStyle(styles: readonly SideStyle[]): SideStyle {
  const counts = new Map<SideStyle, number>();
  for (const style of styles) counts.set(style, (counts.get(style) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0] ?? 'letter-last';
}
