// Source: CommonMark with the tables of GFM, as npm `markdown-it` reads them: the page of a feedback is made
// from its Markdown by a reader of our own, which must see what any other reader sees.
import MarkdownIt from 'markdown-it';
import { describe, expect, it } from 'vitest';
import { rules } from '../../rules/index.js';
import { writeFeedback } from '../../src/grade/feedback.js';
import { rubricOf } from '../../src/grade/rubric.js';
import { blockHtml, blocksOf } from '../../src/page/class/markdown-html.js';
import { mark, SETTINGS } from '../grade/mark.js';
import { glbAsset, HOSTILE_NAMES, sampleFinding } from '../report/sample-report.js';

const NAMES = [
  ...Object.values(HOSTILE_NAMES).filter((name) => name.length < 100 && name !== ''),
  'a|b\\|c`d|e``',
  '`',
  '``` ',
  '`<b>`',
  ' padded ',
  '**loud**',
  '- item',
  '# title',
  '&lt;b&gt;&#124;',
  'star*red*',
];

const reader = new MarkdownIt({ html: false });

/** Tags and text, without what only tells how it was made. */
function plain(html: string): string {
  return html
    .replace(/<(th|td)(?: [^>]*)?>/g, '<$1>')
    .replace(/<(td|th)>(.*?)<\/\1>/g, '<cell>$2</cell>')
    .replace(/\n/g, '')
    .replace(/&(?:#(\d+)|(amp|lt|gt|quot));/g, (all, number, name) =>
      number === undefined
        ? ({ amp: '&', lt: '(', gt: ')', quot: '"' }[String(name)] ?? all)
        : String.fromCodePoint(Number(number)).replace('<', '(').replace('>', ')'),
    );
}

describe('the Markdown of a feedback', () => {
  it.each(NAMES)('is read as another reader reads it, whatever names are in it: %j', (name) => {
    const findings = ['axis.up', 'name.missing'].map((rule) =>
      sampleFinding({
        rule,
        message: `"${name}" is off (limit 5\u00b0).`,
        place: { name, path: name },
      }),
    );
    const marked = mark(name, [glbAsset(`${name}.glb`, findings), glbAsset('b.glb', [])]);
    const link = (rule: string): string => `../handbook.html#${rule}`;
    const markdown = writeFeedback(marked, rubricOf(null, rules), SETTINGS, [], link);
    const ours = blocksOf(markdown)
      .map((block) => blockHtml(block))
      .join('');
    // Where a long path may break over two lines is ours alone.
    expect(plain(ours.replaceAll('<wbr>', ''))).toBe(plain(reader.render(markdown)));
    expect(ours.match(/<a /g)).toHaveLength(2);
  });
});
