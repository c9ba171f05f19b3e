// Checking, and what is said of it.
export { families, rules } from '../rules/index.js';
export { AssetError, UsageError } from './asset/errors.js';
export type { CheckOptions } from './check/check-asset.js';
export { makeReport } from './check/make-report.js';
export type { Settings } from './check/settings.js';
// Making rules.
export {
  atJoint,
  atJoints,
  bySeverity,
  type Evidence,
  type Finding,
  findingsOf,
  type Judged,
  jointPlaces,
  judged,
  judgedAsOne,
  type Level,
  type NotApplicable,
  notApplicable,
  type Place,
  type Things,
  type Unit,
  worstFinding,
} from './kit/finding.js';
export { gatherRig, gatherTwins } from './kit/gather-twins.js';
export {
  type AssetRuleSpec,
  assetRule,
  type Gathered,
  type LimitOf,
  type LimitSpec,
  type LimitSpecs,
  type LimitValues,
  type Rule,
  type RuleSpec,
  type RuleText,
  rule,
  type Said,
  type Yield,
} from './kit/rule.js';
export type { Words } from './kit/words.js';
export { openLedger } from './library/apply-ledger.js';
export {
  type AssetOptions,
  checkAsset,
  checkAssetBytes,
  standardSettings,
} from './library/check.js';
export { checkAssets, type ListOptions, searchAssets } from './library/check-assets.js';
export { mendRig } from './library/mend.js';
// Measures of a rig.
export type { Axis } from './measure/axis.js';
export {
  axisName,
  type Facts,
  fact,
  sameAxis,
  type WantedOfRig,
} from './measure/facts.js';
export { type BindMesh, bindMesh, size } from './measure/geometry/bind-mesh.js';
export { centreOfMass } from './measure/geometry/centre-of-mass.js';
export { isClosed } from './measure/geometry/closed.js';
export { type Midline, midline } from './measure/geometry/midline.js';
export { type NamedSide, sideOfName } from './measure/names/sides.js';
export { type BindPose, bindPose } from './measure/pose/bind-pose.js';
export { ClipPose, sampleChannel, sampleTimes } from './measure/pose/clip-sampling.js';
export { type Aim, aims } from './measure/skeleton/aim.js';
export { type BodyRoot, bodyRoot } from './measure/skeleton/body-root.js';
export { boneDirection, boneLengths } from './measure/skeleton/bones.js';
export { type Conventions, conventions } from './measure/skeleton/conventions.js';
export { type EndJoint, endJoints } from './measure/skeleton/end-joints.js';
export type { Frame } from './measure/skeleton/frame.js';
export { axisWorld, frames } from './measure/skeleton/frames.js';
export { type Mirror, mirror } from './measure/skeleton/mirror.js';
export { type Pair, type Pairs, pairs } from './measure/skeleton/pairs.js';
export { skinCentre } from './measure/skin/skin-centre.js';
export { type SkinMass, skinMass } from './measure/skin/skin-mass.js';
export type { MendResult } from './mend/attempt.js';
export type { MendOptions } from './mend/mending.js';
// Writing reports.
export { COLOURS } from './report/colours.js';
export { writeCsv } from './report/csv.js';
export { writeJson } from './report/json.js';
export { writeJunit } from './report/junit.js';
export { writeMarkdown } from './report/markdown.js';
export { type Paint, PLAIN } from './report/paint.js';
export { reportSchema } from './report/report-schema.js';
export type * from './report/report-types.js';
export { writeSarif } from './report/sarif.js';
export { writeText } from './report/text.js';
export type * from './report/transforms-report.js';
export { version } from './report/version.js';
export type * from './rig/types.js';
export type { Vec3 } from './rig/vec3.js';
export * as vectors from './rig/vec3.js';
export { standardSchema } from './standard/standard-schema.js';
export type { LedgerRun } from './waivers/apply-ledger.js';
