import { createHash } from 'node:crypto';
import type { FindingReport } from './report-types.js';

/** What a finding is known by within its asset, in whatever order things are stored. */
export interface KnownBy extends Pick<FindingReport, 'rule' | 'aspect' | 'anchor'> {
  /** Name of the rig; null for a finding about the asset. */
  readonly rig: string | null;
}

/** Gives each finding of one asset a text that no other has; those alike in everything are numbered. */
export class Identities {
  private readonly seen = new Map<string, number>();

  /** 32 hexadecimal digits, with `:2` and so on for what is alike. */
  next({ rule, rig, aspect, anchor }: KnownBy): string {
    const known = JSON.stringify([rule, rig, aspect, anchor.kind, anchor.path]);
    const repeat = (this.seen.get(known) ?? 0) + 1;
    this.seen.set(known, repeat);
    const hash = createHash('sha256').update(known).digest('hex').slice(0, 32);
    return repeat === 1 ? hash : `${hash}:${repeat}`;
  }
}
