import type {
  ArtifactLocation,
  Graph,
  Log,
  Notification,
  ReportingDescriptor,
  Result,
  Run,
} from 'sarif';
import { failedWords, stoppedWords } from './finding-words.js';
import type { HandbookLink } from './handbook-link.js';
import { jointGraph } from './joint-graph.js';
import { withoutMarks } from './log-marks.js';
import type { Report } from './report-types.js';
import { roundedInJson } from './rounded.js';
import { ArtifactTable } from './sarif-artifacts.js';
import { locationOf, type SarifTarget, unreadableRegion } from './sarif-locations.js';
import { LogicalTable } from './sarif-logical.js';
import { describeNotices, notice, waiverNotices } from './sarif-notices.js';
import { assetResults, unreadableMessage } from './sarif-results.js';
import { type DescribedRule, describeRules, UNREADABLE_RULE } from './sarif-rules.js';
import type { UriBase } from './sarif-uri.js';

export type { DescribedRule, SarifTarget };

const SCHEMA =
  'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json';

const DESCRIPTION = 'Checks character rigs stored as glTF 2.0 skins, by measurement.';

/** Results that services take from one run. */
const SERVICE_RESULTS = 25_000;

export interface SarifOptions extends UriBase {
  /** Leads to the entry of a rule in the handbook, by an absolute URI (3.49.12). */
  readonly helpUri?: HandbookLink | null;
  readonly target: SarifTarget;
  /** JSON text of a `.gltf`, for lines and columns; null for a GLB or what cannot be read. */
  readonly textOf: (assetPath: string) => string | null;
  /** What services group runs by (3.17.3). */
  readonly category?: string;
  /** Names this run within its category; empty when it has no name of its own. */
  readonly run?: string;
}

/**
 * Writes a report as SARIF 2.1.0. The same report gives the same text, byte for byte: it has no
 * time and no random id in it.
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
  const { partial, ledger } = report;
  const { name, version } = report.tool;
  const { target } = options;
  const described = describeRules(rules, options.helpUri);
  const baseId = baseIdFor(options);
  const artifacts = new ArtifactTable({ ...options, baseId }, options.textOf);
  const logical = new LogicalTable();
  const all = collect(report, described, artifacts, logical, target);
  const results = target === 'standard' ? all.results : mostSerious(all.results, SERVICE_RESULTS);
  const away = all.results.length - results.length;
  const awayWords = `${away} of ${all.results.length} results were left out, the least serious ones first: services accept ${results.length}.`;
  return {
    tool: {
      driver: {
        name,
        fullName: `${name} ${version}`,
        semanticVersion: version,
        shortDescription: { text: DESCRIPTION },
        rules: described,
        notifications: describeNotices(),
      },
    },
    automationDetails: { id: `${options.category ?? name}/${options.run ?? ''}` },
    invocations: [
      {
        // A waiver that needs a look is no failure of the run.
        executionSuccessful:
          all.unreadable.length === 0 && all.failed.length === 0 && partial === null,
        toolExecutionNotifications: [
          ...(partial === null ? [] : [notice('run.stopped', 'error', stoppedWords(partial))]),
          ...all.unreadable,
          ...all.failed,
          ...(away === 0 ? [] : [notice('results.left-out', 'warning', awayWords)]),
          ...(ledger === null ? [] : waiverNotices(ledger, artifacts)),
        ],
        ...(all.stdin && { stdin: all.stdin }),
      },
    ],
    ...(baseId !== null && { originalUriBaseIds: BASE_IDS }),
    artifacts: artifacts.list,
    logicalLocations: logical.list,
    graphs: all.graphs,
    // For text only (3.14.27); a lone CR ends a line here, which is not the default (3.14.26).
    ...(all.readText && {
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

/** Relative references should name their base (3.4.4), but some services refuse an unknown one. */
function baseIdFor({ target, roots = [] }: SarifOptions): string | null {
  return target === 'standard' && roots.length > 0 ? BASE_ID : null;
}

function collect(
  { assets }: Report,
  described: readonly ReportingDescriptor[],
  artifacts: ArtifactTable,
  logical: LogicalTable,
  target: SarifTarget,
) {
  const ruleIndex = new Map(described.map((rule, index) => [rule.id, index]));
  const results: Result[] = [];
  // One for each asset that could not be read.
  const unreadable: Notification[] = [];
  // One for each rule that failed on it.
  const failed: Notification[] = [];
  const graphs: Graph[] = [];
  let stdin: ArtifactLocation | null = null;
  // Whether any artifact was read as text.
  let readText = false;
  for (const asset of assets) {
    const artifact = artifacts.add(asset);
    const { location } = artifact;
    const found = assetResults(asset, { artifact, target, logical, ruleIndex });
    for (const result of found) results.push(result);
    if (asset.unreadable !== null) {
      const region = unreadableRegion(artifact, asset.unreadable.where, target);
      const words = unreadableMessage(asset.unreadable);
      unreadable.push(notice(UNREADABLE_RULE.id, 'error', words, locationOf(artifact, region)));
    }
    for (const each of asset.failed ?? []) {
      const index = ruleIndex.get(each.rule);
      failed.push({
        ...notice('rule.failed', 'error', failedWords(each, asset), locationOf(artifact, null)),
        associatedRule: { id: each.rule, ...(index !== undefined && { index }) },
      });
    }
    if (asset.path === '-') stdin = { ...location };
    readText ||= asset.container?.kind === 'gltf' || found.some(hasColumn);
    // A tree helps to read a finding; those of a whole store of sound rigs would be most of the log.
    const shown = target === 'standard' ? asset.findings.length : found.length;
    if (!artifact.repeated && shown > 0)
      for (const [order, rig] of asset.rigs.entries())
        graphs.push(jointGraph(rig, order, location.uri ?? '', logical));
  }
  return { results, unreadable, failed, graphs, stdin, readText };
}

function hasColumn(result: Result): boolean {
  return result.locations?.[0]?.physicalLocation?.region?.startColumn !== undefined;
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
