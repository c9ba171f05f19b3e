import type {
  Artifact,
  ArtifactLocation,
  Graph,
  Log,
  LogicalLocation,
  Notification,
  ReportingDescriptor,
  Result,
  Run,
  ToolComponent,
} from 'sarif';
import { jointGraph } from './joint-graph.js';
import { withoutMarks } from './log-marks.js';
import type { AssetReport, Report } from './report-types.js';
import { roundedInJson } from './rounded.js';
import { type AssetArtifact, artifactTable } from './sarif-artifacts.js';
import { locationOf, type SarifTarget, unreadableRegion } from './sarif-locations.js';
import { type LogicalTable, logicalTable } from './sarif-logical.js';
import { leftOutNotice, NOTICES, noticeOf, stoppedNotice, waiverNotices } from './sarif-notices.js';
import { assetResults, unreadableMessage } from './sarif-results.js';
import { type DescribedRule, describeRules, UNREADABLE_RULE } from './sarif-rules.js';
import type { UriBase } from './sarif-uri.js';
import { TOOL_INFO } from './tool-info.js';

export type { DescribedRule, SarifTarget };

const SCHEMA =
  'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json';

/** Results that services take from one run. */
const SERVICE_RESULTS = 25_000;

export interface SarifOptions extends UriBase {
  readonly target: SarifTarget;
  /** JSON text of a `.gltf`, for lines and columns; null for a GLB or what cannot be read. */
  readonly textOf: (assetPath: string) => string | null;
  /** What services group runs by (3.17.3). */
  readonly category?: string;
  /** Names this run within its category; empty when it has no name of its own. */
  readonly run?: string;
}

/**
 * Writes a report as SARIF 2.1.0. The same report gives the same text, byte for byte: it holds no
 * time and no random id.
 */
export function writeSarif(
  report: Report,
  rules: readonly DescribedRule[],
  options: SarifOptions,
): string {
  const log: Log = { $schema: SCHEMA, version: '2.1.0', runs: [runOf(report, rules, options)] };
  return `${withoutMarks(JSON.stringify(log, roundedInJson, 2))}\n`;
}

function runOf(report: Report, rules: readonly DescribedRule[], options: SarifOptions): Run {
  const described = describeRules(rules);
  const found = collect(report, described, options);
  const results =
    options.target === 'standard' ? found.results : mostSerious(found.results, SERVICE_RESULTS);
  const notifications = [
    ...(report.partial === null ? [] : [stoppedNotice(report.partial)]),
    ...found.notifications,
    ...(results.length < found.results.length
      ? [leftOutNotice(found.results.length, results.length)]
      : []),
    ...found.waivers,
  ];
  return {
    tool: { driver: driverOf(report, described) },
    automationDetails: { id: `${options.category ?? report.tool.name}/${options.run ?? ''}` },
    invocations: [
      {
        // A waiver that needs a look is no failure of the run.
        executionSuccessful: found.notifications.length === 0 && report.partial === null,
        toolExecutionNotifications: notifications,
        ...(found.stdin && { stdin: found.stdin }),
      },
    ],
    ...(baseIdFor(options) !== null && { originalUriBaseIds: BASE_IDS }),
    artifacts: found.artifacts,
    logicalLocations: found.logicalLocations,
    graphs: found.graphs,
    // For text only (3.14.27); a lone CR ends a line here, which is not the default (3.14.26).
    ...(found.readText && {
      columnKind: 'utf16CodeUnits',
      newlineSequences: ['\r\n', '\n', '\r'],
    }),
    results,
  };
}

const BASE_ID = 'ROOT';

/**
 * What the base id stands for, without the absolute URI: 3.14.14 lets it be left out, so that a log
 * names no user's folders and is the same on every machine.
 */
const BASE_IDS = {
  [BASE_ID]: {
    description: { text: 'The folder that --base names, such as the root of a repository.' },
  },
};

/** Relative references should tell their base (3.4.4); some services refuse one that they do not know. */
function baseIdFor({ target, roots = [] }: SarifOptions): string | null {
  return target === 'standard' && roots.length > 0 ? BASE_ID : null;
}

function driverOf(report: Report, rules: ReportingDescriptor[]): ToolComponent {
  const { name, version } = report.tool;
  return {
    name,
    fullName: `${name} ${version}`,
    semanticVersion: version,
    shortDescription: { text: TOOL_INFO.shortDescription },
    rules,
    notifications: [...NOTICES],
  };
}

interface Collected {
  readonly results: Result[];
  /** One for each asset that could not be read. */
  readonly notifications: Notification[];
  /** One for each waiver that needs a look. */
  readonly waivers: readonly Notification[];
  readonly artifacts: Artifact[];
  readonly logicalLocations: LogicalLocation[];
  readonly graphs: Graph[];
  readonly stdin: ArtifactLocation | null;
  /** Whether any artifact was read as text. */
  readonly readText: boolean;
}

function collect(
  report: Report,
  described: readonly ReportingDescriptor[],
  options: SarifOptions,
): Collected {
  const { target } = options;
  const ruleIndex = new Map(described.map((rule, index) => [rule.id, index]));
  const artifacts = artifactTable({ ...options, baseId: baseIdFor(options) }, options.textOf);
  const logical = logicalTable();
  const results: Result[] = [];
  const notifications: Notification[] = [];
  const graphs: Graph[] = [];
  let stdin: ArtifactLocation | null = null;
  let readText = false;
  for (const asset of report.assets) {
    const artifact = artifacts.add(asset);
    const own = assetResults(asset, artifact, { target, logical, ruleIndex });
    for (const result of own) results.push(result);
    if (asset.unreadable !== null)
      notifications.push(unreadableNotification(asset.unreadable, artifact, logical, target));
    if (asset.path === '-') stdin = { ...artifact.location };
    readText ||= asset.container?.kind === 'gltf' || own.some(hasColumn);
    // A tree helps to read a finding; those of a whole store of sound rigs would be most of the log.
    const told = target === 'standard' ? asset.findings.length : own.length;
    if (!artifact.repeated && told > 0)
      asset.rigs.forEach((rig, order) => {
        graphs.push(jointGraph(rig, order, artifact.location.uri ?? '', logical));
      });
  }
  return {
    results,
    notifications,
    waivers: report.ledger === null ? [] : waiverNotices(report.ledger, artifacts),
    artifacts: artifacts.list,
    logicalLocations: logical.list,
    graphs,
    stdin,
    readText,
  };
}

function hasColumn(result: Result): boolean {
  return result.locations?.[0]?.physicalLocation?.region?.startColumn !== undefined;
}

function unreadableNotification(
  unreadable: NonNullable<AssetReport['unreadable']>,
  artifact: AssetArtifact,
  logical: LogicalTable,
  target: SarifTarget,
): Notification {
  const region = unreadableRegion(artifact, unreadable.where, target);
  return {
    descriptor: noticeOf(UNREADABLE_RULE.id),
    level: 'error',
    message: { text: unreadableMessage(unreadable) },
    locations: [locationOf(artifact, region, logical, [])],
  };
}

/** At most `limit` results, the milder ones left out first, the order kept. */
function mostSerious(results: readonly Result[], limit: number): Result[] {
  const room = { error: 0, warning: 0, note: 0, none: 0 };
  for (const { level } of results) room[level ?? 'warning']++;
  let left = limit;
  for (const level of ['error', 'warning', 'note', 'none'] as const) {
    room[level] = Math.min(room[level], left);
    left -= room[level];
  }
  return results.filter(({ level }) => room[level ?? 'warning']-- > 0);
}
