import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { markSubmission } from '../../src/grade/submission.js';
import { cardOf, writeIndex } from '../../src/page/index-html.js';
import { writeCsv } from '../../src/report/csv.js';
import { writeJunit } from '../../src/report/junit.js';
import { writeMarkdown } from '../../src/report/markdown.js';
import { PLAIN } from '../../src/report/paint.js';
import type { AssetReport } from '../../src/report/report-types.js';
import { writeText } from '../../src/report/text.js';
import { SETTINGS } from '../grade/mark.js';
import { glbAsset, sampleFinding, sampleReport, unreadableAsset } from './sample-report.js';

/** A lamp of the stage, which no joint moves. */
function lamp(path = 'lamp.glb'): AssetReport {
  const place = { kind: 'asset', path: '', joint: null, node: null, pointer: '' } as const;
  const note = sampleFinding({ rule: 'file.no-skin', level: 'note', rig: null, place });
  return { ...glbAsset(path, [note]), rigs: [], verdict: 'nothing to judge' };
}

const text = (assets: readonly AssetReport[], quiet = false): string =>
  writeText(sampleReport(assets), { quiet, columns: 200, paint: PLAIN });

describe('a file without a rig', () => {
  const both = [glbAsset('heron.glb'), lamp()];

  it('has nothing to judge, and the run is as sound as its rigs', () => {
    const { verdict, totals } = sampleReport(both);
    expect([verdict, totals.verdicts]).toEqual([
      'sound',
      { sound: 1, unsound: 0, unreadable: 0, 'nothing to judge': 1 },
    ]);
    expect(sampleReport([lamp()]).verdict).toBe('nothing to judge');
    expect(sampleReport([lamp(), glbAsset('mule.glb', [sampleFinding()])]).verdict).toBe('unsound');
    expect(sampleReport([lamp(), unreadableAsset('a.glb', 'cut', null)]).verdict).toBe(
      'unreadable',
    );
  });

  it('is told so as text, alone and among others, and not with silence', () => {
    expect(text([lamp()])).toContain('Verdict: nothing to judge.');
    const counts = '2 assets: 1 sound, 0 unsound, 0 unreadable, 1 with nothing to judge.';
    expect(text(both)).toContain(counts);
    expect(text(both, true)).toMatch(/^2 assets: .*\n$/);
    const alone = '1 asset: 0 sound, 0 unsound, 0 unreadable, 1 with nothing to judge.';
    expect(text([lamp()], true)).toContain(alone);
    expect(text([glbAsset('heron.glb')], true)).toBe('');
  });

  it('is told so in Markdown, and is not counted with the sound ones', () => {
    const page = writeMarkdown(sampleReport([lamp()]));
    expect(page).toMatch(/^\*\*trysquare: nothing to judge\.\*\* 1 asset: 0 sound/);
    expect(page).toContain('| `lamp.glb` | nothing to judge | 0 | 0 | 1 |');
    const many = Array.from({ length: 14 }, (_, at) => glbAsset(`heron-${at}.glb`));
    expect(writeMarkdown(sampleReport([...many, lamp()]))).toContain(
      '<summary>14 sound assets, 1 with nothing to judge</summary>',
    );
    expect(writeMarkdown(sampleReport(many))).toContain('<summary>14 sound assets</summary>');
  });

  it('is told so in a table, and is skipped as a test, not passed', () => {
    expect(writeCsv(sampleReport([lamp()]))).toContain('"lamp.glb","nothing to judge"');
    const xml = writeJunit(sampleReport([lamp()]));
    expect(xml).toMatch(/<testsuite name="lamp\.glb" .*skipped="1"/);
    expect(xml).toContain('<skipped>nothing to judge: the file has no rig</skipped>');
    expect(writeJunit(sampleReport([glbAsset('heron.glb')]))).not.toContain('nothing to judge');
  });

  it('can be chosen on the index, and has a class of one word', () => {
    const cards = both.map((asset) => cardOf(asset, 'page.html', ''));
    const html = writeIndex('Stage', cards, sampleReport(both), null);
    expect(html).toContain('<p class="lead">1 sound, 1 with nothing to judge.</p>');
    expect(html).toContain('<option value="nothing to judge">nothing to judge</option>');
    expect(html).toContain('data-verdict="nothing to judge"');
    expect(html).toContain('<p class="verdict nothing-to-judge">Nothing to judge</p>');
  });

  it('gets no points, and no verdict of sound, when it is handed in alone', () => {
    const marked = markSubmission('a', [lamp()], null, rubricOf(null, rules), SETTINGS);
    expect([marked.grade, marked.verdict]).toEqual([null, 'nothing to judge']);
  });
});
