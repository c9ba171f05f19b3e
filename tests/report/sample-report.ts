import { families } from '../../rules/index.js';
import type { LedgerEntry, LedgerReport } from '../../src/report/ledger-report.js';
import { totalsOf } from '../../src/report/report-stream.js';
import type {
  AssetReport,
  FindingReport,
  JointReport,
  PlaceReport,
  Report,
  RigReport,
} from '../../src/report/report-types.js';
import type { DescribedRule, SarifOptions } from '../../src/report/sarif.js';

/** Reports as a run over a lantern-puppet theatre's files would make them, one part at a time. */
export function sampleReport(assets: readonly AssetReport[]): Report {
  return {
    tool: { name: 'trysquare', version: '0.1.0' },
    failing: 'error',
    standard: null,
    unit: 'm',
    families: [...families],
    settings: '5a6e0c1b4f8d2e97a3c05b1d7f4e6a28',
    part: null,
    assets,
    partial: null,
    ledger: null,
    ...totalsOf(assets),
  };
}

/** A ledger with a waiver past its day and two that fit nothing, one of a strange asset. */
export const SAMPLE_LEDGER: LedgerReport = {
  path: 'house/trysquare.waivers.json',
  today: '2026-11-25',
  waivers: 4,
  waived: 2,
  exceeded: 0,
  expired: [
    {
      ...waiver('axis.up', 'wagon/*.glb', 'body/neck', 4),
      until: '2026-06-30',
      findings: 1,
    },
  ],
  unmatched: [waiver('place.pair', 'mule.glb', '*', 11), waiver('skin.sum', '<b>.glb', null, 18)],
  open: [],
  fitting: [25],
};

function waiver(rule: string, asset: string, joint: string | null, line: number): LedgerEntry {
  return {
    rule,
    asset,
    joint,
    others: 0,
    line,
    why: 'a crank sits here',
    by: 'props',
    until: null,
  };
}

export function glbAsset(path: string, findings: readonly FindingReport[] = []): AssetReport {
  return {
    path,
    verdict: findings.some((finding) => finding.level === 'error') ? 'unsound' : 'sound',
    unreadable: null,
    container: {
      kind: 'glb',
      bytes: 48_120,
      sha256: '5f70bf18a086007016e948b04aed3b82103a36bea41755b6cddfaf10ace3c6ef',
      json: { offset: 20, length: 2_316 },
    },
    rigs: [sampleRig()],
    findings,
    counts: {
      error: findings.filter((finding) => finding.level === 'error').length,
      warning: findings.filter((finding) => finding.level === 'warning').length,
      note: findings.filter((finding) => finding.level === 'note').length,
    },
  };
}

export function gltfAsset(path: string, findings: readonly FindingReport[] = []): AssetReport {
  const length = GLTF_TEXT.length;
  return {
    ...glbAsset(path, findings),
    container: {
      kind: 'gltf',
      bytes: length,
      sha256: 'b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c',
      json: { offset: 0, length },
    },
  };
}

export function unreadableAsset(path: string, reason: string, where: string | null): AssetReport {
  return {
    path,
    verdict: 'unreadable',
    unreadable: { reason, where },
    container: null,
    rigs: [],
    findings: [],
    counts: { error: 0, warning: 0, note: 0 },
  };
}

/** Rules that failed, for reasons that may hold any letters. */
export function failedRules(reasons: readonly string[], rig: number | null = 0) {
  return reasons.map((reason, at) => ({ rule: `prop.wheel-${at}`, rig, module: reason, reason }));
}

/** The heron's neck: three joints on nodes 1, 2 and 4. */
export function sampleRig(names = ['body', 'neck', 'beak']): RigReport {
  return {
    index: 0,
    name: 'heron',
    joints: names.map(
      (name, index): JointReport => ({
        name,
        path: names.slice(0, index + 1).join('/'),
        parent: index - 1,
        node: [1, 2, 4][index] ?? index + 2,
        place: [0, index / 4, 0],
        movesSkin: true,
        skinShare: 0.25,
      }),
    ),
    skins: 1,
    vertices: 220,
    triangles: 400,
    clips: 0,
    size: 1.25,
    conventions: {
      frames: 'aimed',
      source: 'vote',
      aim: { middle: '+Y', left: '+Y', right: '+Y' },
      up: '+Z',
      upKnown: true,
      votes: 2,
      voters: 2,
      mirror: null,
      mirrorAgree: 0,
      mirrorPairs: 0,
      pairs: { byMapping: 0, byName: 0, byPlace: 0 },
      symmetric: true,
    },
    bodyRoot: 0,
    bodyRootMapped: false,
    bends: null,
    measured: [
      { rule: 'axis.up', kind: 'judged', looked: 3, short: 1, elsewhere: 0, of: 'joints' },
      { rule: 'axis.mirror', kind: 'not applicable', because: 'the rig has no pairs' },
    ],
  };
}

/** The beak on node 4 is rolled, unless told otherwise. */
export function sampleFinding(
  change: Partial<Omit<FindingReport, 'place'>> & { readonly place?: Partial<PlaceReport> } = {},
): FindingReport {
  const place: PlaceReport = {
    kind: 'joint',
    name: 'beak',
    path: 'body/neck/beak',
    joint: 2,
    node: 4,
    pointer: '/nodes/4',
    ...change.place,
  };
  return {
    identity: '5b0e3b0c55f2c1f1a6b2d3c4e5f60718',
    rule: 'axis.up',
    level: 'error',
    rig: 0,
    anchor: { kind: place.kind, path: place.path },
    aspect: null,
    message: '"beak" is rolled 92.4° about its aim axis against its segment (limit 30°).',
    remedy: 'Turn its frame so that its up axis follows that of "neck".',
    measured: 92.4,
    limit: 30,
    unit: 'degrees',
    counts: null,
    vertices: [],
    consequences: [],
    evidence: [],
    places: [place],
    ...change,
    place,
  };
}

/** A finding that lists so many joints more than the one it is told at. */
export function listingFinding(others: number): FindingReport {
  const finding = sampleFinding();
  const more = Array.from({ length: others }, (_, at) =>
    place('joint', `feather;${at}`, `body/feather;${at}`, 3 + at, 5 + at, `/nodes/${5 + at}`),
  );
  return { ...finding, places: [...more.slice(0, 1), finding.place, ...more.slice(1)] };
}

const PLACES: readonly PlaceReport[] = [
  place('joint', 'beak', 'body/neck/beak', 2, 4, '/nodes/4'),
  place('node', 'stand', 'stand', null, 0, '/nodes/0'),
  place('mesh', 'feathers', 'feathers', null, 3, '/meshes/0'),
  place('skin', 'plumage', 'plumage', null, null, '/skins/0'),
  place('rig', 'heron', 'heron', null, null, ''),
  place('asset', 'heron.glb', '', null, null, ''),
];

/** One finding for each kind of place that a finding can have. */
export function findingsEverywhere(): FindingReport[] {
  return PLACES.map((at) => sampleFinding({ place: at, rig: at.kind === 'asset' ? null : 0 }));
}

function place(
  kind: PlaceReport['kind'],
  name: string,
  path: string,
  joint: number | null,
  node: number | null,
  pointer: string,
): PlaceReport {
  return { kind, name, path, joint, node, pointer };
}

/** The text of a `.gltf`, laid out so that every value begins somewhere else. */
export const GLTF_TEXT = `{
  "asset": { "version": "2.0" },
  "nodes": [
    { "name": "stand", "children": [1] },
    { "name": "body", "children": [2] },
      { "name": "n\u{1F3EE}ck", "children": [4] }, { "name": "feathers", "mesh": 0, "skin": 0 },
    {
      "name": "beak"
    }
  ],
  "meshes": [{ "name": "feathers", "primitives": [] }],
  "skins": [{ "name": "plumage", "joints": [1, 2, 4] }]
}
`;

export const SAMPLE_RULES: readonly DescribedRule[] = [
  sampleRule('axis.up', 'error', 'a joint rolled away from its segment'),
  sampleRule('axis.mirror', 'warning', 'a pair off the mirror scheme of its rig'),
  sampleRule('file.no-skin', 'note', 'an asset without a skin'),
];

export function sampleRule(
  id: string,
  level: DescribedRule['level'],
  title: string,
): DescribedRule {
  return {
    id,
    level,
    title,
    family: id.split('.')[0] ?? id,
    why: 'A rolled joint bends the segment sideways when it is curled',
    formula: 'the signed angle about the aim axis from the carried up axis',
    remedy: 'Turn the frame back',
    source: 'common practice',
    limits: { warn: { default: 5, unit: 'degrees', tells: 'roll: a warning from here' } },
  };
}

export function sarifOptions(change: Partial<SarifOptions> = {}): SarifOptions {
  return {
    target: 'standard',
    base: '/theatre/puppets',
    textOf: (path) => (path.endsWith('.gltf') ? GLTF_TEXT : null),
    ...change,
  };
}

/** What a puppet maker with bad intentions, or only a strange keyboard, might name a joint. */
export const HOSTILE_NAMES: Readonly<Record<string, string>> = {
  'a quoted name': '"quoted" \'twice\'',
  'a script element': '</script><script>alert(1)</script>',
  'a name turned round': 'knaeb\u202Ehcra',
  'a name of three lines': 'two\r\nlines\u2028three',
  'a link and placeholders': '[press here](https://example.com) [a\\](b) {0} }{',
  'half a lantern': 'half \uD83C lantern',
  'a terminal command': '\u001B[2Jgone\u0000\u007F\u009B',
  'ten thousand letters': 'n'.repeat(10_000),
  'ten thousand braces': '{'.repeat(10_000),
  'no name at all': '',
};
