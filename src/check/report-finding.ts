import type { Evidence, Finding, Place } from '../kit/finding.js';
import type { Words } from '../kit/words.js';
import type { FindingReport } from '../report/report-types.js';
import { nodePath } from '../rig/node-name.js';
import type { Rig } from '../rig/types.js';
import type { KeptFinding, RuleRun } from './run-rules.js';
import type { Settings } from './settings.js';

/** What a report holds of one finding. */
export function reportFinding(
  rig: Rig | null,
  settings: Settings,
  words: Words,
  { rule, finding, consequences, insteadOf }: KeptFinding,
  outcome: RuleRun['outcome'] | undefined,
): FindingReport {
  const said = rule.say(finding, words);
  const level = settings.levels.get(rule.id);
  const also = (finding.also ?? []).filter(({ measured }) => Number.isFinite(measured));
  const anchor = finding.anchor ?? (finding.places === undefined ? finding.place : RIG);
  const { kind, path } = reportPlace(rig, anchor);
  const { looked = 0, short = 0 } = outcome?.kind === 'judged' ? outcome : {};
  return {
    identity: '',
    rule: rule.id,
    level: level === undefined || level === 'none' ? finding.level : level,
    rig: rig === null ? null : rig.index,
    anchor: { kind, path },
    aspect: finding.aspect ?? null,
    place: reportPlace(rig, finding.place),
    places: reportPlaces(rig, finding),
    message: said.message,
    remedy: said.remedy,
    measured: Number.isFinite(finding.measured) ? finding.measured : null,
    limit: finding.limit,
    unit: finding.unit,
    ...(also.length > 0 && { also }),
    // A finding about one thing counts as its rule does.
    counts: finding.counts ?? { looked, short },
    vertices: finding.vertices ?? [],
    consequences: firstOf([...consequences]),
    evidence: (finding.evidence ?? []).filter(isFiniteEvidence),
    ...(insteadOf.size > 0 && { insteadOf: [...insteadOf].sort() }),
  };
}

/** So many consequences are told one by one. */
const TOLD = 3;

/** A rig whose joints are rolled at random has a page of them, of which each says the same. */
function firstOf(consequences: readonly string[]): readonly string[] {
  const more = consequences.length - TOLD;
  if (more <= 0) return consequences;
  return [
    ...consequences.slice(0, TOLD),
    `${more} more such ${more === 1 ? 'fault follows' : 'faults follow'} from it.`,
  ];
}

/** Whether all numbers are finite; a kind and a label are no numbers. */
function isFiniteEvidence(evidence: Evidence): boolean {
  const values: unknown[] = Object.values(evidence).flat(2);
  return values.every((value) => typeof value === 'string' || Number.isFinite(value));
}

/** A longer list helps nobody: the counts say how many there are. */
const MOST_PLACES = 1000;

function reportPlaces(
  rig: Rig | null,
  { place, places = [], measured, measures }: Finding,
): FindingReport['places'] {
  const all = places.length === 0 ? [place] : places.slice(0, MOST_PLACES);
  return all.map((each, index) => {
    const measure = measures?.[index] ?? (all.length === 1 ? measured : NaN);
    return { ...reportPlace(rig, each), ...(Number.isFinite(measure) && { measured: measure }) };
  });
}

const RIG: Place = { kind: 'rig' };

function reportPlace(rig: Rig | null, place: Place): FindingReport['place'] {
  const nowhere = { joint: null, node: null };
  if (rig === null || place.kind === 'asset')
    return { kind: 'asset', name: 'asset', path: '', ...nowhere, pointer: '' };
  switch (place.kind) {
    case 'joint': {
      const { joint } = place;
      const node = rig.joints.node[joint] ?? 0;
      const [name, path] = [rig.joints.names[joint] ?? '', rig.joints.paths[joint] ?? ''];
      return { kind: 'joint', name, path, joint, node, pointer: `/nodes/${node}` };
    }
    case 'node': {
      const { node } = place;
      const steps = nodePath(rig.nodes, node);
      const [name, path] = [steps.at(-1) ?? '', steps.join('/')];
      return { kind: 'node', name, path, joint: null, node, pointer: `/nodes/${node}` };
    }
    case 'part': {
      const {
        label: name = 'mesh',
        primitive = 0,
        mesh = 0,
        node = null,
      } = rig.parts[place.part] ?? {};
      const path = primitive > 0 ? `${name}/primitive ${primitive + 1}` : name;
      const pointer = `/meshes/${mesh}/primitives/${primitive}`;
      return { kind: 'mesh', name, path, joint: null, node, pointer };
    }
    case 'skin': {
      const skin = rig.skins[place.skin];
      const name = skin?.name ?? rig.name;
      return { kind: 'skin', name, path: name, ...nowhere, pointer: `/skins/${skin?.index ?? 0}` };
    }
    case 'rig': {
      const { name, skins } = rig;
      return {
        kind: 'rig',
        name,
        path: name,
        ...nowhere,
        pointer: `/skins/${skins[0]?.index ?? 0}`,
      };
    }
  }
}
