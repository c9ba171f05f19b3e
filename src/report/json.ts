import type { LedgerEntry, LedgerReport } from '../waivers/ledger-report.js';
import { withoutMarks } from './log-marks.js';
import { REPORT_SCHEMA_ID } from './report-schema.js';
import { type ReportStream, writeWith } from './report-stream.js';
import type {
  AssetReport,
  BendReport,
  ConventionsReport,
  EvidenceReport,
  FindingReport,
  JointReport,
  MeasuredReport,
  PlaceReport,
  Report,
  ReportEnd,
  ReportHead,
  RigReport,
} from './report-types.js';
import { roundedInJson } from './rounded.js';

/**
 * Writes a report as JSON, in the format that `reportSchema` describes: keys in a fixed order,
 * numbers rounded to nine significant digits, whole numbers (indices, bytes) as they are, and null
 * for what is no finite number.
 */
export function writeJson(report: Report): string {
  return writeWith(jsonStream(report), report);
}

/** The same, asset by asset: what is only known at the end stands at the end. */
export function jsonStream(head: ReportHead): ReportStream {
  let first = true;
  return {
    head: () =>
      `${toText({ ...FORMAT, ...headKeys(head) }).slice(0, -CLOSED.length)},\n  "assets": [`,
    asset: (asset) => {
      const lead = first ? '\n    ' : ',\n    ';
      first = false;
      return `${lead}${toText(assetKeys(asset)).replaceAll('\n', '\n    ')}`;
    },
    end: (end) => `${first ? '' : '\n  '}],${toText(endKeys(end)).slice(1)}\n`,
  };
}

const FORMAT = { $schema: REPORT_SCHEMA_ID, format: 'trysquare-report', formatVersion: 1 };

/** How an object's text ends. */
const CLOSED = '\n}';

function toText(value: unknown): string {
  const text = JSON.stringify(value, roundedInJson, 2);
  // Controls that JSON allows raw, and marks that build services obey, are escaped for whoever prints the text; its values stay the same.
  return withoutMarks(
    text.replace(
      HIDDEN_IN_JSON,
      (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, '0')}`,
    ),
  );
}

const HIDDEN_IN_JSON = /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/g;

// What follows sets the order of keys, whatever order the report was made in. Each function gives
// back its own type, so that a field added to a report cannot be forgotten here.

function headKeys({
  tool,
  failing,
  standard,
  unit,
  families,
  rules,
  settings,
  part,
}: ReportHead): ReportHead {
  return {
    tool: { name: tool.name, version: tool.version },
    failing,
    standard,
    unit,
    families: [...families],
    ...(rules !== undefined && { rules: [...rules] }),
    settings,
    part: part && { index: part.index, of: part.of, list: part.list, total: part.total },
  };
}

function endKeys({ partial, ledger, totals, verdict }: ReportEnd): ReportEnd {
  const { verdicts, counts } = totals;
  return {
    partial: partial && { checked: partial.checked, of: partial.of },
    ledger: ledger && ledgerKeys(ledger),
    totals: {
      assets: totals.assets,
      verdicts: {
        sound: verdicts.sound,
        unsound: verdicts.unsound,
        unreadable: verdicts.unreadable,
      },
      counts: { error: counts.error, warning: counts.warning, note: counts.note },
    },
    verdict,
  };
}

function ledgerKeys(ledger: LedgerReport): LedgerReport {
  return {
    path: ledger.path,
    today: ledger.today,
    waivers: ledger.waivers,
    waived: ledger.waived,
    exceeded: ledger.exceeded,
    expired: ledger.expired.map((entry) => ({ ...entryKeys(entry), findings: entry.findings })),
    unmatched: ledger.unmatched.map(entryKeys),
    open: ledger.open.map(entryKeys),
    fitting: [...ledger.fitting],
  };
}

function entryKeys(entry: LedgerEntry): LedgerEntry {
  const { line, rule, asset, joint, others, why, by, until } = entry;
  return { line, rule, asset, joint, others, why, by, until };
}

function assetKeys(asset: AssetReport): AssetReport {
  const { path, verdict, unreadable, container, rigs, findings, counts } = asset;
  return {
    path,
    verdict,
    unreadable: unreadable && { reason: unreadable.reason, where: unreadable.where },
    container: container && {
      kind: container.kind,
      bytes: container.bytes,
      sha256: container.sha256,
      json: { offset: container.json.offset, length: container.json.length },
    },
    rigs: rigs.map(rigKeys),
    findings: findings.map(findingKeys),
    counts: { error: counts.error, warning: counts.warning, note: counts.note },
  };
}

function rigKeys(rig: RigReport): RigReport {
  return {
    index: rig.index,
    name: rig.name,
    joints: rig.joints.map(jointKeys),
    skins: rig.skins,
    vertices: rig.vertices,
    triangles: rig.triangles,
    clips: rig.clips,
    size: rig.size,
    conventions: conventionsKeys(rig.conventions),
    bodyRoot: rig.bodyRoot,
    bodyRootMapped: rig.bodyRootMapped,
    bends: rig.bends?.map(bendKeys) ?? null,
    measured: rig.measured.map(measuredKeys),
  };
}

function bendKeys({
  joint,
  axis,
  volumeKept,
  triangles,
  inverted,
  stretch,
}: BendReport): BendReport {
  return { joint, axis, volumeKept, triangles, inverted, stretch };
}

function jointKeys(joint: JointReport): JointReport {
  const { name, path, parent, node, place, movesSkin, skinShare } = joint;
  return { name, path, parent, node, place, movesSkin, skinShare };
}

function conventionsKeys(conventions: ConventionsReport): ConventionsReport {
  const { aim, pairs } = conventions;
  return {
    frames: conventions.frames,
    source: conventions.source,
    aim: aim && { middle: aim.middle, left: aim.left, right: aim.right },
    up: conventions.up,
    upKnown: conventions.upKnown,
    votes: conventions.votes,
    voters: conventions.voters,
    mirror: conventions.mirror,
    mirrorAgree: conventions.mirrorAgree,
    mirrorPairs: conventions.mirrorPairs,
    pairs: { byMapping: pairs.byMapping, byName: pairs.byName, byPlace: pairs.byPlace },
    symmetric: conventions.symmetric,
  };
}

function measuredKeys(measured: MeasuredReport): MeasuredReport {
  const { rule, kind } = measured;
  if (kind === 'not applicable') return { rule, kind, because: measured.because };
  const { looked, short, elsewhere, of } = measured;
  return { rule, kind, looked, short, elsewhere, of };
}

function findingKeys(finding: FindingReport): FindingReport {
  const { counts, also, insteadOf, waived, beyond } = finding;
  return {
    identity: finding.identity,
    rule: finding.rule,
    level: finding.level,
    rig: finding.rig,
    anchor: { kind: finding.anchor.kind, path: finding.anchor.path },
    aspect: finding.aspect,
    place: placeKeys(finding.place),
    places: finding.places.map((place) => ({
      ...placeKeys(place),
      ...(place.measured !== undefined && { measured: place.measured }),
    })),
    message: finding.message,
    remedy: finding.remedy,
    measured: finding.measured,
    limit: finding.limit,
    unit: finding.unit,
    ...(also && { also: also.map(({ measured, unit }) => ({ measured, unit })) }),
    counts: counts && { looked: counts.looked, short: counts.short },
    vertices: finding.vertices,
    consequences: finding.consequences,
    ...(insteadOf && { insteadOf }),
    evidence: finding.evidence.map(evidenceKeys),
    ...(waived && { waived: { by: waived.by, why: waived.why, until: waived.until } }),
    ...(beyond && { beyond }),
  };
}

function placeKeys({ kind, name, path, joint, node, pointer }: PlaceReport): PlaceReport {
  return { kind, name, path, joint, node, pointer };
}

function evidenceKeys(evidence: EvidenceReport): EvidenceReport {
  const { label } = evidence;
  switch (evidence.kind) {
    case 'point':
      return { kind: evidence.kind, label, at: evidence.at };
    case 'arrow':
      return { kind: evidence.kind, label, from: evidence.from, along: evidence.along };
    case 'line':
      return { kind: evidence.kind, label, points: evidence.points };
  }
}
