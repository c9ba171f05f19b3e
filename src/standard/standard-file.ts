import type { Level } from '../kit/finding.js';
import type { LengthUnit } from '../measure/length-units.js';
import type { MirrorScheme } from '../measure/mirror-schemes.js';
import type { WrittenGrading } from './grading.js';
import type { WrittenContract } from './read-contract.js';
import type { WrittenSubmissions } from './submission-rules.js';

/** A standard file once it has been found to fit its schema. */
export interface StandardFile {
  readonly name?: string;
  /** Whether nothing is taken from the standards above. */
  readonly alone?: boolean;
  readonly conventions?: {
    readonly aim?: string;
    readonly up?: string;
    readonly mirror?: MirrorScheme;
    readonly unit?: LengthUnit;
  };
  readonly names?: {
    readonly pattern?: string;
    readonly sides?: string;
    readonly digits?: number;
    readonly checked?: 'sides' | 'all';
  };
  readonly contract?: WrittenContract;
  readonly rest?: 'bind' | 'posed';
  readonly without?: readonly string[];
  readonly failing?: Level | 'never';
  readonly approved?: Readonly<Record<string, string>>;
  readonly levels?: Readonly<Record<string, Level | 'none'>>;
  readonly limits?: Readonly<Record<string, Readonly<Record<string, number | string>>>>;
  readonly handbook?: string;
  readonly points?: Readonly<Record<string, number>>;
  readonly grading?: WrittenGrading;
  readonly submissions?: WrittenSubmissions;
}
