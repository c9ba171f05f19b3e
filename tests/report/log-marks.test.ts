// Marks and where they count. Sources: actions/runner, src/Runner.Common/ActionCommand.cs at 079cdb1
// (a line is trimmed before it is looked at for `::`; `##[` is looked for anywhere in it). That
// `##vso[` and `##teamcity[` are looked for anywhere as well is from memory.
import { describe, expect, test } from 'vitest';
import { logLines, logXml, withoutMarks } from '../../src/report/log-marks.js';

describe('lines for people', () => {
  test.each([
    ['::error::beak', '\\u003a:error::beak'],
    ['  ::error::beak', '  \\u003a:error::beak'],
    ['neck\n\u00a0\t::group::beak', 'neck\n\u00a0\t\\u003a:group::beak'],
    ['\u001b[1m::error::beak', '\u001b[1m\\u003a:error::beak'],
    [':::', '\\u003a::'],
    ['a ##[error]beak', 'a #\\u0023[error]beak'],
    ['###[error]', '##\\u0023[error]'],
    ['##vso[task.setvariable]', '#\\u0023vso[task.setvariable]'],
    ['##VSO[task.setvariable]', '#\\u0023VSO[task.setvariable]'],
    ["##teamcity[message text='x']", "#\\u0023teamcity[message text='x']"],
  ])('%j is written %j', (name, shown) => {
    expect(logLines(name)).toBe(shown);
    expect(logLines(shown)).toBe(shown);
  });

  test.each(['wing::feather', ':beak', '"::beak"', '## [heron]', '#[1]', '##heron', 'a#b[0]'])(
    '%j is left alone',
    (name) => {
      expect(logLines(name)).toBe(name);
    },
  );
});

test('a reader of JSON has the name as it was', () => {
  const name = '##[error]\\##vso[x]\n::error::';
  const json = withoutMarks(JSON.stringify({ name }));
  expect(json).not.toMatch(/##\w*\[/);
  expect(JSON.parse(json)).toEqual({ name });
});

test('in XML a reference stands for the letter', () => {
  expect(logXml('neck\n  ::error::##[x]')).toBe('neck\n  &#58;:error::#&#35;[x]');
});
