import type { Settings } from '../../check/settings.js';
import { isFailing } from '../../kit/finding.js';
import type { AssetReport, FindingReport } from '../../report/report-types.js';
import type { RigModel } from '../../rig/types.js';
import type { RigSeen } from './rig-seen.js';

/** An approved asset that can be read as often as is needed. */
export interface ApprovedFile {
  /** As people know it. */
  readonly name: string;
  /** Checks it; `onModel` works within the bounds of the check. */
  read(settings: Settings, onModel: (model: RigModel) => void): Promise<AssetReport>;
}

/** An approved asset as it was seen first, without a standard. */
export interface SeenFile {
  readonly file: ApprovedFile;
  readonly rigs: readonly RigSeen[];
  /** Identities of the findings that make it unsound then. */
  readonly failing: ReadonlySet<string>;
}

/** Identities of the findings that make an asset unsound by default. */
export function failingIn(findings: readonly FindingReport[]): Set<string> {
  const failing = findings.filter(({ level }) => isFailing(level, 'error'));
  return new Set(failing.map(({ identity }) => identity));
}
