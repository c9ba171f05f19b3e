// Sources: glTF 2.0, 4.4.3.1 (chunks of unknown types are to be ignored: they are somebody's), RFC 8259,
// 6 (numbers of any size and spelling are JSON), npm `jsonc-parser` and the engine's own `JSON`, which
// read what is written.
import { join } from 'node:path';
import fc from 'fast-check';
import { applyEdits, findNodeAtLocation, modify, parseTree } from 'jsonc-parser';
import { describe, expect, test, vi } from 'vitest';
import { build, buildGlb } from '../../fixtures/build.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { rules } from '../../rules/index.js';
import { AssetError } from '../../src/asset/errors.js';
import { defaultSettings } from '../../src/check/settings.js';
import { Editable } from '../../src/mend/file/editable.js';
import { KeptJson } from '../../src/mend/json/kept-json.js';
import { type MendResult, mendAsset } from '../../src/mend/mend-asset.js';
import { REPAIRS } from '../../src/mend/repairs.js';
import { splitGlb } from '../fixtures/read-back.js';
import { tempFolder } from '../support/temp-folder.js';
import { BOLD } from './asked.js';

// Some read and write files of odd sizes several times.
vi.setConfig({ testTimeout: 60_000 });

const settings = defaultSettings(rules);
const fault = faultNamed('flipped-shin');

function mended(name: string, bytes: string | Uint8Array, more = {}): Promise<MendResult> {
  return mendAsset(join(tempFolder({ [name]: bytes, ...more }), name), settings, REPAIRS, {
    also: BOLD,
  });
}

/** The text of the faulty heron, its buffer within it, indented. */
function heronText(): string {
  const built = build('heron', { faults: [fault], container: 'gltf-embedded' });
  const text = Buffer.from(built.files.get(built.main) ?? '').toString();
  return `${JSON.stringify(JSON.parse(text), null, 2)}\n`;
}

/** A text with a member set to JSON that is given as text. */
function withText(text: string, path: (string | number)[], value: string): string {
  const held = applyEdits(
    text,
    modify(text, path, 'HERE', { formattingOptions: { insertSpaces: true, tabSize: 2 } }),
  );
  return held.replace('"HERE"', () => value);
}

/** The text of a member, to the letter. */
function textAt(text: string, path: (string | number)[]): string | undefined {
  const tree = parseTree(text);
  const node = tree === undefined ? undefined : findNodeAtLocation(tree, path);
  return node === undefined ? undefined : text.slice(node.offset, node.offset + node.length);
}

function glbWith(text: string, binary: Uint8Array, ...others: Buffer[]): Buffer {
  const chunk = (type: number, data: Uint8Array, filler: number): Buffer => {
    const length = Math.ceil(data.byteLength / 4) * 4;
    const out = Buffer.alloc(8 + length, filler);
    out.writeUInt32LE(length, 0);
    out.writeUInt32LE(type, 4);
    Buffer.from(data).copy(out, 8);
    return out;
  };
  const body = Buffer.concat([
    chunk(0x4e4f534a, Buffer.from(text), 0x20),
    chunk(0x004e4942, binary, 0),
    ...others,
  ]);
  const head = Buffer.alloc(12);
  head.writeUInt32LE(0x46546c67, 0);
  head.writeUInt32LE(2, 4);
  head.writeUInt32LE(12 + body.byteLength, 8);
  return Buffer.concat([head, body]);
}

describe('chunks of a GLB', () => {
  const made = (name: string, content: string): Buffer => {
    const data = Buffer.from(content);
    const head = Buffer.alloc(8);
    head.writeUInt32LE(data.byteLength, 0);
    head.write(name, 4, 'latin1');
    return Buffer.concat([head, data]);
  };

  test('behind the binary one are kept in order, byte for byte', async () => {
    const { json, binary } = splitGlb(buildGlb('heron', { faults: [fault] }));
    const others = [made('LAMP', 'lit lamp'), made('ROPE', 'four'), made('NONE', '')];
    const result = await mended('heron.glb', glbWith(JSON.stringify(json), binary, ...others));
    expect(result.changes).toHaveLength(1);
    const main = Buffer.from(result.files.main);
    const tail = Buffer.concat(others);
    expect(main.subarray(-tail.byteLength).equals(tail)).toBe(true);
    expect(main.readUInt32LE(8)).toBe(main.byteLength);
    const again = await mended('again.glb', main);
    expect(again.after.findings).toEqual([]);
    expect(Buffer.from(again.files.main).equals(main)).toBe(true);
  });

  test('a binary chunk that no buffer names is kept where the buffer is a file', async () => {
    const built = build('heron', { faults: [fault], container: 'gltf-external' });
    const text = Buffer.from(built.files.get(built.main) ?? '').toString();
    const own = Buffer.from('nobody asked for this');
    const bin = [...built.files].filter(([name]) => name !== built.main);
    const result = await mended('heron.glb', glbWith(text, own), Object.fromEntries(bin));
    expect(result.changes).toHaveLength(1);
    expect(Buffer.from(splitGlb(result.files.main).binary).toString()).toContain(own.toString());
  });
});

describe('the text of the JSON', () => {
  const strange =
    '{"big": 9007199254740993, "far": 1e400, "near": 1.0, "low": -0, "long": 0.1000000000000000055511151231257827, "word": "\\u00e9\\/", "__proto__": [1.50]}';

  test.each([
    ['of the whole', ['extras']],
    // The shin is a node that is turned: what holds these is written anew.
    ['of a node that changes', ['nodes', 'the turned one', 'extras']],
  ])('extras %s keep every number and letter', async (_, path) => {
    const plain = heronText();
    const json = JSON.parse(plain) as { nodes: { name?: string }[] };
    const own = path.map((key) =>
      key === 'the turned one'
        ? json.nodes.findIndex(({ name }) => name === turnedNode(plain))
        : key,
    );
    const text = withText(plain, own, strange);
    expect(textAt(text, own)).toBe(strange);
    const result = await mended('heron.gltf', text);
    expect(result.changes).toHaveLength(1);
    expect(result.offending).toBeNull();
    const after = Buffer.from(result.files.main).toString();
    expect(textAt(after, own)).toBe(strange);
  });

  test('goes on beginning with a byte order mark', async () => {
    const result = await mended('heron.gltf', `\uFEFF${heronText()}`);
    expect(result.changes).toHaveLength(1);
    const text = Buffer.from(result.files.main).toString();
    expect(text.startsWith('\uFEFF{\n  "')).toBe(true);
    expect(() => JSON.parse(text.slice(1))).not.toThrow();
  });

  test('numbers beside what changes are spelt as they were', async () => {
    const plain = heronText();
    const json = JSON.parse(plain) as { nodes: { name?: string }[] };
    const node = json.nodes.findIndex(({ name }) => name === turnedNode(plain));
    const text = withText(plain, ['nodes', node, 'weight'], '1.2500e2');
    const result = await mended('heron.gltf', text);
    const after = Buffer.from(result.files.main).toString();
    expect(textAt(after, ['nodes', node, 'weight'])).toBe('1.2500e2');
    expect(textAt(after, ['nodes', node])).not.toBe(textAt(text, ['nodes', node]));
  });

  test('only the lines of what changed are others', async () => {
    // Tabs, line ends of two letters, and rows of numbers on one line.
    const text = heronText()
      .replace(
        /\[\s+(-?[\d.e-]+(?:,\s+-?[\d.e-]+)*)\s+\]/g,
        (_, row: string) => `[ ${row.replace(/\s+/g, ' ')} ]`,
      )
      .replace(/^( {2})+/gm, (spaces) => '\t'.repeat(spaces.length / 2))
      .replaceAll('\n', '\r\n');
    const result = await mended('heron.gltf', text);
    expect(result.changes).toHaveLength(1);
    const [before, after] = [text.split('\r\n'), Buffer.from(result.files.main).toString()];
    const left = new Set(before);
    const fresh = after.split('\r\n').filter((line) => !left.has(line));
    // The rotations of the shin and its child, and the buffer with keys and bind matrices.
    expect(fresh.length).toBeGreaterThan(0);
    expect(fresh.length).toBeLessThan(20);
    expect(after).not.toMatch(/[^\r]\n/);
  });

  test('extras nested 5,000 deep go through, also in what changes', async () => {
    const deep = `${'{"in":['.repeat(5000)}1.0${']}'.repeat(5000)}`;
    const text = heronText().replace('{\n', () => `{\n  "extras": ${deep},\n`);
    const node = text.replace(
      `"name": "${turnedNode(text)}"`,
      (name) => `"extras": ${deep}, ${name}`,
    );
    for (const file of [text, node]) {
      const result = await mended('heron.gltf', file);
      expect(result.changes).toHaveLength(1);
      expect(result.after.findings).toEqual([]);
      expect(Buffer.from(result.files.main).toString().split(deep)).toHaveLength(
        file.split(deep).length,
      );
    }
  });

  test('nesting that has no end in sight does not break the writer itself', async () => {
    const deep = `${'['.repeat(50_000)}${']'.repeat(50_000)}`;
    const kept = await KeptJson.parse(`{"a":${deep},"b":1}`);
    const json = kept.json as { a: unknown; b: number };
    json.b = 2;
    expect(kept.write(json)).toBe(`{"a":${deep},"b":2}`);
    let inner = json.a;
    while (Array.isArray(inner) && inner.length > 0) inner = inner[0];
    (inner as number[]).push(3);
    expect(kept.write(json)).toBe(`{"a":${'['.repeat(50_000)}3${']'.repeat(50_000)},"b":2}`);
  });

  test('a number that none is has no text, and is told by its place', async () => {
    const kept = await KeptJson.parse('{"nodes":[{"a~/b":1e400}]}');
    const { nodes } = kept.json as { nodes: Record<string, number>[] };
    expect(kept.write({ nodes })).toBe('{"nodes":[{"a~/b":1e400}]}');
    Object.assign(nodes[0] ?? {}, { 'a~/b': Number.NaN });
    expect(() => kept.write({ nodes })).toThrow(AssetError);
    expect(() => kept.write({ nodes })).toThrow('/nodes/0/a~0~1b');
  });

  test('any JSON is written as it was read, and reads as it was changed', async () => {
    const json = fc.json({ maxDepth: 4 }).filter((text) => /^[[{]/.test(text));
    const spaces = fc.constantFrom(undefined, 1, 2, '\t');
    await fc.assert(
      fc.asyncProperty(json, spaces, fc.nat(), fc.jsonValue(), async (text, space, at, value) => {
        const spaced = ` ${JSON.stringify(JSON.parse(text), null, space)}\n`;
        const kept = await KeptJson.parse(spaced);
        const read = kept.json as Record<string, unknown>;
        expect(kept.write(read)).toBe(spaced);
        // The same change to what the engine reads.
        const other = JSON.parse(spaced) as Record<string, unknown>;
        const keys = Object.keys(read);
        const key = keys[at % Math.max(1, keys.length)] ?? '0';
        for (const changed of [read, other]) changed[key] = value;
        expect(JSON.parse(kept.write(read))).toEqual(JSON.parse(JSON.stringify(other)));
      }),
      { seed: 20, numRuns: 300 },
    );
  });
});

describe('files beside an asset', () => {
  const extensions = {
    THEATRE_sound: { lanterns: [{ uri: 'sounds/creak.wav' }, { uri: 'data:audio/wav;base64,' }] },
    THEATRE_far: { uri: 'https://localhost/creak.wav', deep: { uri: 'bell%20one.wav' } },
    THEATRE_odd: { uri: '%', other: { uri: 7 } },
  };

  test('that extensions alone name count, wherever they stand', async () => {
    const text = heronText();
    const json = JSON.parse(text) as { nodes: object[] };
    Object.assign(json.nodes[0] ?? {}, { extensions: { THEATRE_cloth: { uri: 'cloth.json' } } });
    const edit = await Editable.fromBytes(
      Buffer.from(JSON.stringify({ ...json, extras: { uri: 'no.txt' }, extensions })),
    );
    expect([...edit.led].sort()).toEqual(['bell%20one.wav', 'cloth.json', 'sounds/creak.wav']);
    expect(edit.externals()).toEqual(edit.led);
  });

  test('that are two buffers at once are refused by one clear line', async () => {
    const built = build('heron', { faults: [fault], container: 'gltf-external' });
    const text = Buffer.from(built.files.get(built.main) ?? '').toString();
    const json = JSON.parse(text) as { buffers: object[] };
    const twice = JSON.stringify({ ...json, buffers: [...json.buffers, ...json.buffers] });
    const more = Object.fromEntries([...built.files].filter(([name]) => name !== built.main));
    await expect(mended('heron.gltf', twice, more)).rejects.toThrow(
      new AssetError(
        'two of its buffers use the same file; give each buffer its own file, then mend the asset',
      ),
    );
  });
});

/** Name of the node that the fault of the heron is in. */
function turnedNode(text: string): string {
  return /"name": "(shin[^"]*)"/.exec(text)?.[1] ?? '';
}
