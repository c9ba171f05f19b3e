import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { limitsOf } from '../../src/check/settings.js';
import { withAbove } from '../../src/standard/merge-standards.js';
import { parseStandard, type Standard } from '../../src/standard/read-standard.js';
import type { StandardFile } from '../../src/standard/standard-file.js';

/** Standards from the highest folder down, each of which takes from the one before. */
function line(...files: readonly (object | string)[]): Standard {
  let above: Standard | null = null;
  files.forEach((file, at) => {
    const text = typeof file === 'string' ? file : JSON.stringify(file);
    const next = above;
    const folder = `/house${'/deep'.repeat(at)}`;
    above = parseStandard(text, `${at}/trysquare.json`, rules, folder, () => next);
  });
  if (above === null) throw new Error('a line has one file at least');
  return above;
}

describe('a standard below another', () => {
  it('goes before it key by key, and takes what it leaves out', () => {
    const above: StandardFile = {
      conventions: { aim: '+X', up: '+Y', unit: 'cm' },
      names: { pattern: '{name}{_side}', sides: 'L/R', digits: 2 },
      limits: { 'axis.aim': { warn: 3, error: 10 }, 'skin.budget': { influences: 8 } },
      points: { axis: 20, rest: 5 },
      failing: 'warning',
    };
    const near: StandardFile = {
      conventions: { up: '+Z' },
      names: { digits: 3 },
      limits: { 'axis.aim': { error: '12 degrees' } },
      points: { axis: 30 },
    };
    expect(withAbove(near, above)).toEqual({
      conventions: { aim: '+X', up: '+Z', unit: 'cm' },
      names: { pattern: '{name}{_side}', sides: 'L/R', digits: 3 },
      limits: { 'axis.aim': { warn: 3, error: '12 degrees' }, 'skin.budget': { influences: 8 } },
      points: { axis: 30, rest: 5 },
      failing: 'warning',
      levels: {},
    });
  });

  it('replaces lists and the range of heights whole', () => {
    const above: StandardFile = {
      contract: {
        joints: { required: ['body', 'head'], most: 40 },
        height: { from: 80, to: 140, unit: 'cm' },
      },
    };
    const near: StandardFile = {
      contract: { joints: { required: ['shell'] }, height: { from: 0.1, to: 0.4 } },
    };
    expect(withAbove(near, above).contract).toEqual({
      joints: { required: ['shell'], most: 40 },
      height: { from: 0.1, to: 0.4 },
    });
  });

  it('gives a family a level that goes before those of its rules above', () => {
    const above: StandardFile = { levels: { 'axis.aim': 'error', 'name.side': 'error' } };
    expect(withAbove({ levels: { axis: 'note' } }, above).levels).toEqual({
      axis: 'note',
      'name.side': 'error',
    });
    expect(withAbove({ levels: { 'axis.aim': 'none' } }, above).levels).toEqual({
      'axis.aim': 'none',
      'name.side': 'error',
    });
  });

  it('has the number of a contract before the limit above that is the same, and the other way', () => {
    const [limits, contract] = [
      { limits: { 'skin.budget': { influences: 8, joints: 60 } } },
      { contract: { joints: { influences: 4, most: 9 } } },
    ];
    const budget = { joints: 60, influences: 4 };
    expect(line(limits, contract).settings.limits.get('skin.budget')).toEqual(budget);
    const other = line(contract, limits).settings;
    expect(other.limits.get('skin.budget')).toEqual({ ...budget, influences: 8 });
    expect(other.wanted.contract).toEqual({ joints: { most: 9 } });
  });

  it('takes nothing when it stands alone, and leaves that to those below it', () => {
    const top = { failing: 'never', limits: { 'skin.budget': { influences: 8 } } };
    const { settings, above } = line(top, { alone: true, failing: 'note' }, {});
    expect(settings.failing).toBe('note');
    expect(settings.limits.size).toBe(0);
    expect(above?.above).toBeNull();
  });

  it('does not read what is above one that stands alone', () => {
    const fail = (): never => {
      throw new Error('asked');
    };
    expect(() => parseStandard('{}', 'a.json', rules, '/house', fail)).toThrow('asked');
    expect(parseStandard('{ "alone": true }', 'a.json', rules, '/house', fail).above).toBeNull();
  });

  it('has its approved assets before those above, each relative to its own folder', () => {
    const { approved } = line(
      { approved: { '**/heron-long-name.glb': 'approved/heron.glb' } },
      { approved: { '*.glb': '../approved/mule.glb' } },
    );
    expect(approved.map(({ path, standard }) => [path, standard])).toEqual([
      ['/house/approved/mule.glb', '1/trysquare.json'],
      ['/house/approved/heron.glb', '0/trysquare.json'],
    ]);
  });

  it('has the same limits as one file that says all of it', () => {
    const [budget] = rules.filter(({ id }) => id === 'skin.budget');
    if (budget === undefined) throw new Error('no such rule');
    const { settings } = line(
      { limits: { 'skin.budget': { joints: 60 } } },
      { limits: { 'skin.budget': { influences: 8 } } },
    );
    expect(limitsOf(settings, budget)).toEqual({ joints: 60, influences: 8 });
  });
});

describe('a fault of a standard below another', () => {
  it('is told in the file that has it', () => {
    expect(() => line({ level: {} }, {})).toThrow('the standard 0/trysquare.json is wrong');
    expect(() => line({}, { level: {} })).toThrow('the standard 1/trysquare.json is wrong');
    expect(() => line({ limits: { 'axis.aim': { warn: '3 grads' } } }, {})).toThrow(
      'the standard 0/trysquare.json is wrong',
    );
  });

  it('is told in the nearer one where both together are wrong, with the name of the other', () => {
    expect(() =>
      line({ conventions: { up: '+X' } }, '{\n  "conventions": { "aim": "-X" }\n}'),
    ).toThrow(
      'the standard 1/trysquare.json is wrong at line 2, column 18: up cannot lie on the same axis as aim (-X) ("conventions" > "up" is taken from 0/trysquare.json; write it here, too, or take nothing with "alone": true)',
    );
    expect(() =>
      line({ conventions: { aim: '-X' } }, '{\n  "conventions": { "up": "+X" }\n}'),
    ).toThrow(
      'the standard 1/trysquare.json is wrong at line 2, column 26: up cannot lie on the same axis as aim (-X) (with what this file takes from 0/trysquare.json; "alone": true takes nothing)',
    );
  });

  it('is told of one file alone where those above have no part in it', () => {
    const near = { limits: { 'axis.aim': { warn: '3 grads' } } };
    expect(() => line({ limits: { 'axis.aim': { error: 80 } } }, near)).toThrow(
      /^the standard 1\/trysquare\.json is wrong .*: the unit "grads" is unknown here\..*°\.$/,
    );
  });

  it('of points is told as that of a single file is', () => {
    const house = { points: { axis: 20 } };
    expect(() => line(house, { points: { axis: 0.25 } })).toThrow(/more than one decimal$/);
    // Only together do they have no point to earn.
    expect(() => line({ points: { axis: 5, rest: 0 } }, { points: { axis: 0 } })).toThrow(
      /no points can be earned$/,
    );
    expect(line({ points: { axis: 5 } }, { points: { rest: 0 } }).points).toEqual({
      axis: 5,
      rest: 0,
    });
  });

  it('is none where only what is above makes it right', () => {
    const { settings } = line(
      { limits: { 'axis.aim': { error: 80 } } },
      { limits: { 'axis.aim': { warn: 60 } } },
    );
    expect(settings.limits.get('axis.aim')).toEqual({ warn: 60, error: 80 });
    // By itself, it would give a warning only after an error.
    expect(() => line({ limits: { 'axis.aim': { warn: 60 } } })).toThrow(
      'axis.aim gives a warning',
    );
  });
});
