import { describe, expect, it } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { reportHead } from '../../src/check/make-report.js';
import { defaultSettings } from '../../src/check/settings.js';
import { writeIndex } from '../../src/page/index-html.js';
import { dataBlock, nameText, pathText, text } from '../../src/page/markup.js';
import { writePage } from '../../src/page/page-html.js';
import { picturesOf } from '../../src/page/pictures-of.js';
import { VIEW_AHEAD } from '../../src/page/view-ahead.js';
import type { AssetPictures } from '../../src/report/asset-pictures.js';
import type { AssetReport, Report } from '../../src/report/report-types.js';
import { drawable } from '../draw/drawn.js';
import { approvedOf } from '../support/approved-of.js';

const settings = defaultSettings(rules);
const HOSTILE = [
  '<img src=x onerror=alert(1)>',
  '</script><script>alert(1)</script>',
  '<!--',
  '"\' onfocus=alert(1) x="',
  'a\u202eb',
  'x'.repeat(10_000),
  '',
  '&lt;b&gt;',
];

async function checked(): Promise<AssetReport> {
  const built = build('heron', { faults: [faultNamed('flipped-shin')] });
  return checkAssetBytes(built.files.get(built.main) ?? new Uint8Array(), {
    settings,
    name: 'heron.glb',
  });
}

/** The same report with another name wherever a file's names can stand. */
function named(asset: AssetReport, name: string): AssetReport {
  return {
    ...asset,
    path: `${name}.glb`,
    rigs: asset.rigs.map((rig) => ({
      ...rig,
      name,
      joints: rig.joints.map((joint) => ({ ...joint, name, path: name })),
    })),
    findings: asset.findings.map((finding) => ({
      ...finding,
      message: `${name} is rolled.`,
      remedy: `${name}.`,
      place: { ...finding.place, name, path: name },
      waived: { by: name, why: name, until: null },
    })),
  };
}

const NO_DRAWINGS = {
  defs: '',
  sheets: [],
  findings: [],
  views: [],
  silhouette: '',
  data: '{"rigs":[]}',
};

function page(
  asset: AssetReport,
  script = 'globalThis.ran = true;',
  pictures: AssetPictures = NO_DRAWINGS,
): string {
  return writePage({
    head: reportHead(settings),
    asset,
    pictures: asset.unreadable === null ? pictures : null,
    rules,
    script,
    index: null,
    points: null,
    order: null,
  });
}

/** The faulty heron, whose finding lists so many joints beside its own. */
async function listing(others: number): Promise<AssetReport> {
  const asset = await checked();
  const joints = (asset.rigs[0]?.joints ?? []).map(({ name, path, node }, joint) => {
    return { kind: 'joint' as const, name, path, joint, node, pointer: `/nodes/${node}` };
  });
  const findings = asset.findings.map((finding) => {
    const more = joints.filter(({ joint }) => joint !== finding.place.joint).slice(0, others);
    return { ...finding, places: [finding.place, ...more] };
  });
  return { ...asset, findings };
}

it('the page of an asset says what its dashed lines are, where it has any', async () => {
  const bytes = buildGlb('heron');
  const compared = await drawable(bytes, 'heron.glb', {}, await approvedOf(bytes));
  const alone = await drawable(bytes);
  const [withDashes, without] = await Promise.all(
    [compared, alone].map(async ({ scene, report }) =>
      page(report, '', await picturesOf(scene, report)),
    ),
  );
  for (const words of ['Dashed lines: the approved rig', '--approved:', '.drawing-approved{']) {
    expect(withDashes).toContain(words);
    expect(without).not.toContain(words);
  }
});

describe('the page of an asset', () => {
  it('lists every joint of a finding as a button that leads into the view, many of them folded', async () => {
    for (const others of [0, 1, 12, 13]) {
      const asset = await listing(others);
      const html = page(asset);
      const buttons = [...html.matchAll(/<button type="button" class="place" disabled [^>]*>/g)];
      expect(buttons.map(([button]) => /data-joint="(\d+)"/.exec(button)?.[1])).toEqual(
        asset.findings[0]?.places.slice(1).map(({ joint }) => String(joint)),
      );
      for (const [button] of buttons) expect(button).toContain('data-finding="0" data-rig="0"');
      expect(html.includes('<details class="more">')).toBe(others > 12);
      // The tree of joints has its number at each of them, and the head leads to it twice.
      expect(html.match(/href="#finding-1"/g)).toHaveLength(3 + others);
    }
  });

  it('tells every finding with its measure, limit, why and remedy', async () => {
    const asset = await checked();
    const html = page(asset);
    expect(asset.findings.length).toBeGreaterThan(0);
    for (const finding of asset.findings) {
      const rule = rules.find(({ id }) => id === finding.rule);
      for (const part of [finding.message, finding.remedy, rule?.why ?? '?', finding.place.path])
        expect(html).toContain(text(part));
    }
    expect(html).toContain('180° measured, limit 30°');
    const counted = { ...asset.findings[0], measured: 5, limit: 1, unit: 'joints' };
    // One field of a finding replaced by another of its kind.
    const roots = page({ ...asset, findings: [counted] } as AssetReport);
    expect(roots).toContain('5 joints measured, limit 1 joint<');
    for (const { name } of asset.rigs[0]?.joints ?? [])
      expect(html).toContain(`>${text(name)}</button>`);
  });

  it('carries the report as JSON that reads back as it was', async () => {
    const asset = await checked();
    const [, json = ''] =
      /<script type="application\/json" id="report">(.*?)<\/script>/s.exec(page(asset)) ?? [];
    const report = JSON.parse(json) as Report;
    expect(report.assets).toHaveLength(1);
    expect(report.assets[0]?.findings.map(({ rule, message }) => [rule, message])).toEqual(
      asset.findings.map(({ rule, message }) => [rule, message]),
    );
    expect(report.verdict).toBe('unsound');
  });

  it.each(HOSTILE)('a name like %j makes no element, no attribute and no comment', async (name) => {
    const asset = await checked();
    // Tags and attributes of the same page with a harmless name.
    const shape = (html: string): string[] =>
      html
        .replace(/<(script|style)[^>]*>.*?<\/\1>/gs, '<$1></$1>')
        .match(/<[^>]*>/g)
        ?.map((tag) => tag.replace(/="[^"]*"/g, '=')) ?? [];
    const html = page(named(asset, name));
    const harmless = `harm${'/less'.repeat(name.split('/').length - 1)}`;
    expect(shape(html)).toEqual(shape(page(named(asset, harmless))));
    expect(html).not.toContain('\u202e');
    expect(html.match(/<script/g)).toHaveLength(4);
  });

  it('a tree of joints is well nested, however they branch', async () => {
    const html = page(await checked());
    const tree = /<details class="tree".*?<\/details>/s.exec(html)?.[0] ?? '';
    const open: string[] = [];
    for (const [, close = '', tag = ''] of tree.matchAll(/<(\/?)(ul|li)>/g)) {
      if (close === '') {
        expect(open.at(-1)).toBe(tag === 'li' ? 'ul' : open.length === 0 ? undefined : 'li');
        open.push(tag);
      } else expect(open.pop()).toBe(tag);
    }
    expect(open).toEqual([]);
    expect(tree.match(/<button/g)?.length).toBe((await checked()).rigs[0]?.joints.length);
  });

  it('of what could not be read says why, and shows no empty parts', async () => {
    const asset = await checkAssetBytes(new TextEncoder().encode('{'), {
      settings,
      name: 'cut.gltf',
    });
    const html = page(asset);
    expect(html).toContain('Why it could not be read');
    expect(html).toContain(text(asset.unreadable?.reason ?? '?'));
    for (const id of ['sheet', 'view', 'joints', 'measured'])
      expect(html).not.toContain(`id="${id}"`);
  });
});

it('a file without a rig is not called a sound rig, and has no empty parts', async () => {
  const bytes = new TextEncoder().encode('{"asset":{"version":"2.0"},"nodes":[{"name":"a"}]}');
  const asset = await checkAssetBytes(bytes, { settings, name: 'prop.gltf' });
  const html = page(asset);
  expect(html).toContain('There is no rig in this file');
  expect(html).not.toContain('the rig is sound');
  // One finding has no order, and one part needs no list of parts.
  expect(html).not.toContain('What to fix first');
  expect(html).not.toContain('<nav');
  for (const id of ['sheet', 'view', 'joints', 'measured'])
    expect(html).not.toContain(`id="${id}"`);
});

it('the policy allows the page its own script and style by hash, and nothing else', async () => {
  const { createHash } = await import('node:crypto');
  const html = page(await checked());
  const policy = /Content-Security-Policy" content="([^"]*)"/.exec(html)?.[1] ?? '';
  const hashOf = (source: string): string =>
    `'sha256-${createHash('sha256').update(source).digest('base64')}'`;
  const [, style = ''] = /<style>(.*?)<\/style>/s.exec(html) ?? [];
  const [early = '', script = '', ...others] = [...html.matchAll(/<script>(.*?)<\/script>/gs)].map(
    ([, code = '']) => code,
  );
  expect([early, script, others]).toEqual([VIEW_AHEAD, 'globalThis.ran = true;', []]);
  expect(policy.split('; ').sort()).toEqual(
    [
      "default-src 'none'",
      `script-src ${hashOf(script)} ${hashOf(early)}`,
      `style-src ${hashOf(style)}`,
      'img-src data:',
      "base-uri 'none'",
      "form-action 'none'",
    ].sort(),
  );
  expect(html.replace(/<(script|style)>.*?<\/\1>/gs, '')).not.toMatch(/ (on[a-z]+|style)=/);
});

it('a data block cannot be left, whatever is in it', () => {
  const block = dataBlock('x', JSON.stringify({ a: '</script><!--<script>&\u2028' }));
  expect(block.match(/<\/?script/g)).toHaveLength(2);
  expect(block).not.toContain('<!--');
  const [, json = ''] = />(.*)<\/script>$/s.exec(block) ?? [];
  expect(JSON.parse(json)).toEqual({ a: '</script><!--<script>&\u2028' });
});

it('a path is broken between its parts, and says why a rule matters once for all its levels', async () => {
  expect(pathText('body/<b>/shin_L')).toBe('body/<wbr>&#60;b&#62;/<wbr>shin_L');
  const asset = await checked();
  const [finding] = asset.findings;
  const twice = { ...asset, findings: [finding, { ...finding, level: 'note' }] } as AssetReport;
  const html = page(twice);
  expect(html.match(/<section class="group /g)).toHaveLength(2);
  expect(html.match(/<p class="why">/g)).toHaveLength(1);
});

it('a name of thousands of letters is cut to what can be read', () => {
  expect(nameText('x'.repeat(10_000)).length).toBeLessThan(140);
});

it('the index has a card each, which leads to its page, with what it can be sorted by', () => {
  const cards = HOSTILE.map((name, at) => ({
    name,
    verdict: 'unsound' as const,
    counts: { error: at, warning: 2, note: 0 },
    rules: new Map([['axis.up', { error: at, warning: 2, note: 0 }]]),
    reason: null,
    page: `rigs-pages/${at}.html`,
    silhouette: '',
    approved: null,
  }));
  const html = writeIndex('Rigs', cards, reportHead(settings), null);
  expect(html.match(/<li class="card"/g)).toHaveLength(cards.length);
  cards.forEach(({ page: address }, at) => {
    expect(html).toContain(`href="${address}"`);
    expect(html).toContain(`data-at="${at}"`);
  });
  expect(html.replace(/<script.*?<\/script>/gs, '')).not.toMatch(/<img|<!--|\u202e/);
  expect(html).not.toContain('Compared with');
});

it('the index has the folder of a file on a line of its own, and the name of the link whole', () => {
  const card = (name: string) => ({
    ...{ name, verdict: 'sound' as const, counts: { error: 0, warning: 0, note: 0 } },
    rules: new Map(),
    ...{ reason: null, page: 'a.html', silhouette: '', approved: null },
  });
  const html = writeIndex(
    'Rigs',
    ['a/b/heron.glb', 'mule.glb'].map(card),
    reportHead(settings),
    null,
  );
  const links = [...html.matchAll(/<a href="a\.html">(.*?)<\/a>/g)].map(
    ([, inside = '']) => inside,
  );
  expect(links).toEqual(['<span class="folder">a/b/</span>heron.glb', 'mule.glb']);
});

it('the index says what all were compared with, and of several with which each was', () => {
  const card = (approved: string) => ({
    ...{ name: 'a', verdict: 'sound' as const, counts: { error: 0, warning: 0, note: 0 } },
    rules: new Map(),
    ...{ reason: null, page: 'a.html', silhouette: '', approved },
  });
  const index = (...approved: string[]) =>
    writeIndex('Rigs', approved.map(card), reportHead(settings), null);
  const one = index('heron.glb', 'heron.glb');
  expect(one).toContain('2 sound. Compared with heron.glb.');
  expect(one.match(/Compared with/g)).toHaveLength(1);
  const two = index('heron.glb', 'mule.glb');
  expect(two).toContain('<p class="lead">2 sound.</p>');
  expect(two).toContain('<p class="aside">Compared with mule.glb</p>');
});
