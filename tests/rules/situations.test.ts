import { expect, it } from 'vitest';
import { buildPuppet } from '../../fixtures/build.js';
import { situations } from '../../fixtures/situations/index.js';
import type { Situation } from '../../fixtures/situations/situation.js';
import type { Settings } from '../../src/check/settings.js';
import type { FindingReport } from '../../src/report/report-types.js';
import { checkBuilt } from '../support/check-built.js';

/** A standard that names the kit's default up axis, where a situation needs one. */
const settingsFor = ({ standardNames }: Situation): Partial<Settings> =>
  standardNames === 'up' ? { wanted: { aim: null, up: { index: 2, sign: 1 } } } : {};

it.each(situations)('$name: $tells', async (situation) => {
  const options = { flesh: situation.flesh ?? 'connected', ...situation.options };
  const built = buildPuppet(situation.raise(options), options);
  const report = await checkBuilt(built, settingsFor(situation));
  const findings = report.findings.filter(({ level }) => level !== 'note');
  const wanted = situation.expected.map(({ told, at = null }) => `${told} ${at}`);
  expect([report.unreadable, findings.map((found) => line(found, situation))]).toEqual([
    null,
    wanted,
  ]);
});

/** Level, rule, and the joint: the one that is expected where the finding lists it. */
function line(finding: FindingReport, { expected }: Situation): string {
  const told = `${finding.level} ${finding.rule}`;
  const names = [finding.place, ...(finding.places ?? [])].map(({ name }) => name);
  const at = expected.find((entry) => entry.told === told)?.at;
  const isThere = at === undefined || names.includes(at);
  return `${told} ${isThere ? (at ?? null) : (finding.place.name ?? null)}`;
}
