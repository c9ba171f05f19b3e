import type { Log } from 'sarif';
import { describe, expect, test } from 'vitest';
import { writeSarif } from '../../src/report/sarif.js';
import { sampleReport, sampleRule, sarifOptions } from './sample-report.js';
import { runOf } from './sample-run.js';

describe('rules', () => {
  test('are described in their order, the one for unreadable files last', () => {
    const rules = runOf([]).tool.driver.rules ?? [];
    expect(rules.map((rule) => rule.id)).toEqual([
      'axis.up',
      'axis.mirror',
      'file.no-skin',
      'file.unreadable',
    ]);
    expect(rules[0]).toMatchInlineSnapshot(`
      {
        "defaultConfiguration": {
          "level": "error",
        },
        "fullDescription": {
          "text": "A rolled joint bends the segment sideways when it is curled. Measured: The signed angle about the aim axis from the carried up axis.",
        },
        "help": {
          "markdown": "**What to do.** Turn the frame back.

      **Why it matters.** A rolled joint bends the segment sideways when it is curled.

      **How it is measured.** The signed angle about the aim axis from the carried up axis.

      **Limits.** Roll: a warning from here (5 degrees).

      **Source.** Common practice.",
          "text": "What to do: Turn the frame back.

      Why it matters: A rolled joint bends the segment sideways when it is curled.

      How it is measured: The signed angle about the aim axis from the carried up axis.

      Limits: Roll: a warning from here (5 degrees).

      Source: Common practice.",
        },
        "id": "axis.up",
        "name": "AxisUp",
        "properties": {
          "tags": [
            "axis",
            "rig",
            "glTF",
          ],
        },
        "shortDescription": {
          "text": "A joint rolled away from its segment.",
        },
      }
    `);
  });

  test('begin every sentence with a capital, but leave a word that has its own as it is', () => {
    const [help = ''] =
      runOf([])
        .tool.driver.rules?.slice(-1)
        .map((rule) => rule.help?.text) ?? [];
    expect(help).toContain('What to do: Export the file again');
    expect(help).toContain('How it is measured: The container');
    expect(help).toContain('Source: glTF 2.0.');
  });

  test('are not described twice when the list has the one for unreadable files already', () => {
    const rules = [sampleRule('file.unreadable', 'error', 'a file nobody can read')];
    const log: Log = JSON.parse(writeSarif(sampleReport([]), rules, sarifOptions()));
    expect(log.runs[0]?.tool.driver.rules?.map((rule) => rule.id)).toEqual(['file.unreadable']);
  });

  test('keep every text within 1,024 characters, braces whole and no markup of their own', () => {
    const long = {
      ...sampleRule('axis.up', 'error', '{'.repeat(3000)),
      why: '<b>}*'.repeat(900),
      formula: '<i>{'.repeat(900),
    };
    const log: Log = JSON.parse(writeSarif(sampleReport([]), [long], sarifOptions()));
    const [rule] = log.runs[0]?.tool.driver.rules ?? [];
    const { shortDescription, fullDescription, help } = rule ?? {};
    for (const text of [
      shortDescription?.text,
      fullDescription?.text,
      help?.text,
      help?.markdown,
    ]) {
      expect(text?.length).toBeGreaterThan(200);
      expect(text?.length).toBeLessThanOrEqual(1024);
      expect(text?.replaceAll('{{', '').replaceAll('}}', '')).not.toMatch(/[{}]/);
    }
    expect(help?.markdown).toContain('\\<b\\>}}\\*');
    expect(help?.markdown).not.toMatch(/(?<!\\)</);
  });
});
