import { sha256 } from '../asset/crypto.js';
import type { FindingReport } from './report-types.js';

/** What identifies a finding within its asset, in whatever order things are stored. */
export interface IdentityParts extends Pick<FindingReport, 'rule' | 'aspect' | 'anchor'> {
  /** Name of the rig; null for a finding about the asset. */
  readonly rig: string | null;
}

/** Gives each finding of one asset a text that no other has; those alike in all are numbered. */
export class Identities {
  private readonly seen = new Map<string, number>();

  /** 32 hexadecimal digits, with `:2` and so on for what is alike. */
  next({ rule, rig, aspect, anchor }: IdentityParts): string {
    const parts = JSON.stringify([rule, rig, aspect, anchor.kind, anchor.path]);
    const repeat = (this.seen.get(parts) ?? 0) + 1;
    this.seen.set(parts, repeat);
    const hash = sha256().update(parts).digest('hex').slice(0, 32);
    return repeat === 1 ? hash : `${hash}:${repeat}`;
  }
}
