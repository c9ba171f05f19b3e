import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { defaultSettings, limitsOf, type Settings } from '../../src/check/settings.js';
import type { Rule } from '../../src/kit/rule.js';
import type { FindingReport } from '../../src/report/report-types.js';
import { justPast, Loosening } from '../../src/standard/like/loosening.js';

const defaults = defaultSettings(rules);

function ruleNamed(id: string): Rule {
  const rule = rules.find((each) => each.id === id);
  if (rule === undefined) throw new Error(`no rule ${id}`);
  return rule;
}

function limitsIn(settings: Settings, id: string): Record<string, number> {
  return limitsOf(settings, ruleNamed(id));
}

/** A finding of a rule past a limit; what else a report has is of no matter here. */
function found(
  change: Pick<FindingReport, 'rule' | 'measured' | 'limit' | 'unit'> & Partial<FindingReport>,
): FindingReport {
  const place = { kind: 'rig', name: '', path: '', joint: null, node: null, pointer: '' } as const;
  return {
    ...{ identity: change.rule, level: 'error', rig: 0, anchor: place, aspect: null, place },
    ...{ places: [place], message: '', remedy: '', counts: null, vertices: [] },
    ...{ consequences: [], evidence: [] },
    ...change,
  };
}

describe('the round number just past a measure', () => {
  it.each([
    [23.4, 15, 'degrees', 24],
    [24, 15, 'degrees', 25],
    // The next export may well have 25.001.
    [24.99, 15, 'degrees', 26],
    [179.99, 30, 'degrees', 180],
    [177.2, 30, 'degrees', 180],
    [0.0812, 0.01, 'weight', 0.082],
    [3, 0, 'joints', 3],
    [9, 2, 'steps', 9],
    [0.83, 1, 'degrees', 0.82],
    [0.8, 1, 'degrees', 0.79],
    [0, 1, 'skins', 0],
    [0, 1, 'degrees', 0],
  ] as const)('%s, past %s %s, is %s', (measured, limit, unit, value) => {
    expect(justPast(measured, limit, unit)).toBe(value);
  });
});

describe('a limit that a rig is past', () => {
  it('is moved, of all limits of the rule it alone', () => {
    const loosening = new Loosening(rules);
    const turned = found({ rule: 'axis.aim', measured: 23.4, limit: 15, unit: 'degrees' });
    expect(loosening.moveLimit(turned, defaults, 'heron.glb')).toBe(true);
    expect(limitsIn(loosening.applied(defaults), 'axis.aim')).toEqual({ warn: 5, error: 24 });
  });

  it('lets the worst of several pass, whatever their order', () => {
    for (const measures of [
      [23.4, 41],
      [41, 23.4],
    ]) {
      const loosening = new Loosening(rules);
      for (const measured of measures) {
        const turned = found({ rule: 'axis.aim', measured, limit: 15, unit: 'degrees' });
        loosening.moveLimit(turned, defaults, `${measured}.glb`);
      }
      const moved = loosening.limits.get('axis.aim')?.get('error');
      expect(moved).toMatchObject({ value: 42, measured: 41, rig: '41.glb' });
    }
  });

  it('takes that of errors along where a warning would begin after them', () => {
    const loosening = new Loosening(rules);
    const rolled = found({ rule: 'axis.up', measured: 88, limit: 5, unit: 'degrees' });
    loosening.moveLimit(rolled, defaults, 'mule.glb');
    expect(limitsIn(loosening.applied(defaults), 'axis.up')).toEqual({ warn: 89, error: 89 });
  });

  it('of vertices is one of each mesh, and a finding counts those of all', () => {
    const loosening = new Loosening(rules);
    const place = { kind: 'mesh', name: '', path: '', joint: null, node: 0, pointer: '' } as const;
    const places = [3, 8].map((measured) => ({ ...place, measured }));
    const bare = found({
      ...{ rule: 'skin.unweighted', measured: 11, limit: 0, unit: 'vertices', places },
    });
    loosening.moveLimit(bare, defaults, 'mule.glb');
    expect(limitsIn(loosening.applied(defaults), 'skin.unweighted')).toEqual({ vertices: 8 });
  });

  it('is none where the rule has none, the finding is past another number, or no number would do', () => {
    const loosening = new Loosening(rules);
    for (const finding of [
      found({ rule: 'axis.uniform', measured: 90, limit: 45, unit: 'degrees' }),
      found({ rule: 'chain.direction', measured: 3, limit: 1, unit: 'times' }),
      found({ rule: 'chain.direction', measured: null, limit: 1.25, unit: 'times' }),
      found({ rule: 'chain.direction', measured: 1e12, limit: 1.25, unit: 'times' }),
      found({ rule: 'house.own', measured: 3, limit: 1, unit: 'joints' }),
    ])
      expect([finding.rule, loosening.moveLimit(finding, defaults, 'a.glb')]).toEqual([
        finding.rule,
        false,
      ]);
    expect([loosening.limits.size, loosening.changes]).toEqual([0, 0]);
  });
});

it('a milder level leaves the limits as they were, and names each rig once', () => {
  const loosening = new Loosening(rules);
  const turned = found({ rule: 'axis.aim', measured: 23.4, limit: 15, unit: 'degrees' });
  loosening.moveLimit(turned, defaults, 'heron.glb');
  for (const rig of ['heron.glb', 'mule.glb', 'heron.glb']) loosening.soften('axis.aim', rig);
  const settings = loosening.applied(defaults);
  expect(settings.levels.get('axis.aim')).toBe('warning');
  expect(limitsIn(settings, 'axis.aim')).toEqual({ warn: 5, error: 15 });
  expect(loosening.levels.get('axis.aim')?.rigs).toEqual(['heron.glb', 'mule.glb']);
});
