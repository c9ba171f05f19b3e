import type { WrittenContract } from './read-contract.js';
import type { StandardFile } from './standard-file.js';

/** A number of a contract that is the limit of a rule which every rig is held to. */
export interface ContractLimit {
  readonly key: 'roots' | 'influences';
  readonly rule: string;
  readonly limit: string;
}

/**
 * Topmost joints and joints a vertex are told by rules that run without a contract, too. A rule of the
 * house beside them would tell one cause twice, and a mend reduces weights to the limit of the rule: so
 * the contract sets that limit.
 */
export const CONTRACT_LIMITS: readonly ContractLimit[] = [
  { key: 'roots', rule: 'root.single', limit: 'joints' },
  { key: 'influences', rule: 'skin.budget', limit: 'influences' },
];

/** What a contract says of such a limit. */
export function contractLimit(
  { joints }: WrittenContract,
  { key }: ContractLimit,
): number | undefined {
  return joints?.[key];
}

/**
 * What is written above without the numbers that the nearer file gives in the other of the two places:
 * as the limit of the rule, or in the contract.
 */
export function withoutOtherPlace(near: StandardFile, above: StandardFile): StandardFile {
  let { limits, contract } = above;
  for (const one of CONTRACT_LIMITS) {
    const { key, rule, limit } = one;
    const written = limits?.[rule];
    if (contractLimit(near.contract ?? {}, one) !== undefined && written !== undefined) {
      const { [limit]: _, ...others } = written;
      limits = { ...limits, [rule]: others };
    }
    const asked = contract?.joints;
    if (near.limits?.[rule]?.[limit] !== undefined && asked !== undefined) {
      const { [key]: _, ...joints } = asked;
      contract = { ...contract, joints };
    }
  }
  return { ...above, ...(limits && { limits }), ...(contract && { contract }) };
}
