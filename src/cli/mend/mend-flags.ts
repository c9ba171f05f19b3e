import type { Axis } from '../../measure/facts.js';
import type { LedgerFlags } from '../run/ledger-use.js';

/** Options of `trysquare mend`. */
export interface MendFlags extends LedgerFlags {
  readonly standard?: string | boolean;
  readonly only?: readonly string[];
  readonly skip?: readonly string[];
  readonly also?: readonly string[];
  readonly like?: string;
  readonly aim?: Axis;
  readonly up?: Axis;
  readonly out?: string;
  readonly replace?: boolean;
  readonly dryRun?: boolean;
  readonly inPlace?: boolean;
  readonly restFrom?: 'bind' | 'pose';
  readonly resample?: boolean;
  readonly allowChange?: readonly string[];
  readonly pack?: boolean;
  readonly with?: readonly string[];
}
