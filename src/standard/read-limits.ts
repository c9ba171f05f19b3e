import type { Settings } from '../check/settings.js';
import { brief, type HouseFile } from '../house/house-file.js';
import { didYouMean } from '../house/nearest.js';
import type { Unit } from '../kit/finding.js';
import type { Rule } from '../kit/rule.js';
import { CONTRACT_LIMITS, contractLimit } from './contract-limits.js';
import type { WrittenContract } from './read-contract.js';
import type { StandardFile } from './standard-file.js';
import { MOST_LIMIT, unitSpellings } from './standard-schema.js';

/** The limits of a standard by rule, in the units of the rules, with those that its contract sets. */
export function limitsFrom(
  limits: NonNullable<StandardFile['limits']>,
  contract: WrittenContract,
  rules: readonly Rule[],
  failAt: HouseFile['failAt'],
): Settings['limits'] {
  const written = withContractLimits(limits, contract, failAt);
  return new Map(
    Object.entries(written).map(([id, values]) => {
      const specs = rules.find((rule) => rule.id === id)?.limits ?? {};
      const limits = Object.entries(values).map(([name, value]) => {
        const fail = (message: string): never => failAt(['limits', id, name], message);
        return [name, limitFrom(value, specs[name]?.unit ?? 'times', fail)] as const;
      });
      return [id, Object.fromEntries(limits)];
    }),
  );
}

/** Limits together with those that the contract sets. */
function withContractLimits(
  limits: NonNullable<StandardFile['limits']>,
  contract: WrittenContract,
  failAt: HouseFile['failAt'],
): NonNullable<StandardFile['limits']> {
  const all = { ...limits };
  for (const one of CONTRACT_LIMITS) {
    const { key, rule, limit } = one;
    const value = contractLimit(contract, one);
    if (value === undefined) continue;
    if (limits[rule]?.[limit] !== undefined)
      failAt(
        ['contract', 'joints', key],
        `"contract" > "joints" > "${key}" and "limits" > "${rule}" > "${limit}" are one limit; remove one of them`,
      );
    all[rule] = { ...all[rule], [limit]: value };
  }
  return all;
}

function limitFrom(written: number | string, unit: Unit, fail: (message: string) => never): number {
  if (typeof written === 'number') return written;
  const shown = `"${brief(written)}"`;
  if (/^\s*\d+,\d/.test(written)) return fail(`${shown}: use a point for decimals`);
  const match = /^(\d+(?:\.\d+)?(?:e[+-]?\d+)?) *(\D{0,40})$/i.exec(written.trim());
  if (match === null) return fail(`${shown} is not a number with a unit, such as "5 ${unit}"`);
  const [, number, given = ''] = match;
  const spellings = unitSpellings(unit);
  if (given !== '' && !spellings.includes(given))
    return fail(
      `the unit "${given}" is unknown here.${didYouMean(given, spellings)} Known: ${spellings.join(', ')}.`,
    );
  return Number(number) <= MOST_LIMIT
    ? Number(number)
    : fail(`${shown} is above ${MOST_LIMIT} ${unit}; write a smaller number`);
}
