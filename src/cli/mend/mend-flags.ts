import type { Part } from '../../batch/part.js';
import type { Axis } from '../../measure/facts.js';
import type { LedgerFlags } from '../run/ledger-use.js';
import type { WorkerFlags } from '../run/workers.js';

/** Options of `trysquare mend`. */
export interface MendFlags extends LedgerFlags, Omit<WorkerFlags, 'cache'> {
  readonly standard?: string | boolean;
  readonly only?: readonly string[];
  readonly skip?: readonly string[];
  readonly also?: readonly string[];
  readonly like?: string;
  readonly aim?: Axis;
  readonly up?: Axis;
  readonly out?: string;
  readonly outDir?: string;
  /** What becomes of sound assets with nothing to mend, in `outDir`. */
  readonly sound?: 'copy' | 'leave';
  readonly report?: string;
  readonly quiet?: boolean;
  readonly part?: Part;
  readonly without?: readonly string[];
  readonly replace?: boolean;
  readonly dryRun?: boolean;
  readonly inPlace?: boolean;
  readonly restFrom?: 'bind' | 'pose';
  readonly resample?: boolean;
  readonly allowChange?: readonly string[];
  readonly pack?: boolean;
  readonly with?: readonly string[];
  /** Files for a page, or a drawing, of both rigs. */
  readonly page?: readonly string[];
  /** The handbook that a page leads to. */
  readonly handbook?: string;
}

/** The options that choose what is checked: --only and --skip choose what is mended here. */
export function checkFlags({ only: _, skip: __, ...rest }: MendFlags) {
  return rest;
}
