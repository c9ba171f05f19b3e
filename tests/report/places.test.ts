import { parse } from 'csv-parse/sync';
import type { Log } from 'sarif';
import { describe, expect, test } from 'vitest';
import { writeCsv } from '../../src/report/csv.js';
import { writeJson } from '../../src/report/json.js';
import { writeJunit } from '../../src/report/junit.js';
import { writeMarkdown } from '../../src/report/markdown.js';
import { otherPlaces } from '../../src/report/places.js';
import { writeSarif } from '../../src/report/sarif.js';
import {
  glbAsset,
  listingFinding,
  SAMPLE_RULES,
  sampleFinding,
  sampleReport,
  sarifOptions,
} from './sample-report.js';

const PATHS = ['body/feather;0', 'body/feather;1', 'body/feather;2'];
const finding = listingFinding(3);
const report = sampleReport([glbAsset('heron.glb', [finding])]);

test('the other places of a finding are all but the one it is told at, each once', () => {
  const twice = { ...finding, places: [...finding.places, ...finding.places] };
  expect(otherPlaces(twice).map(({ path }) => path)).toEqual(PATHS);
  expect(otherPlaces(sampleFinding())).toEqual([]);
  expect(otherPlaces(sampleFinding({ places: [] }))).toEqual([]);
});

function rowOf(others: number): Record<string, string> {
  const text = writeCsv(sampleReport([glbAsset('heron.glb', [listingFinding(others)])]));
  const [row = {}]: Record<string, string>[] = parse(text, { columns: true });
  return row;
}

describe('every format tells the places that a finding lists', () => {
  test('JSON, all of them as they are', () => {
    const { assets } = JSON.parse(writeJson(report));
    expect(assets[0].findings[0].places).toEqual(finding.places);
  });

  test('CSV, in a cell that no spreadsheet cuts, and how many there are', () => {
    expect(rowOf(3)).toMatchObject({
      'place path': 'body/neck/beak',
      'other places': '3',
      'other paths': String.raw`body/feather\;0; body/feather\;1; body/feather\;2`,
    });
    const many = rowOf(5000);
    expect(many['other places']).toBe('5000');
    expect(many['other paths']?.length).toBeLessThan(32_767);
    const told = (many['other paths'] ?? '').split(/(?<!\\); /);
    expect(told.at(-1)).toBe(`and ${5000 - told.length + 1} more`);
  });

  test('Markdown and JUnit, a dozen by name', () => {
    expect(writeMarkdown(report)).toContain(
      'Also at `body/feather;0`, `body/feather;1`, `body/feather;2`.',
    );
    expect(writeJunit(report)).toContain(
      'Also at &quot;body/feather;0&quot;, &quot;body/feather;1&quot;, &quot;body/feather;2&quot;.',
    );
    const many = sampleReport([glbAsset('heron.glb', [listingFinding(40)])]);
    expect(writeJunit(many)).toContain('body/feather;11&quot; and 28 more.');
    expect(writeMarkdown(many)).toContain('`body/feather;11` and 28 more.');
  });

  test('SARIF, as related locations (3.27.22), a thousand locations at most', () => {
    const resultOf = (others: number) => {
      const asset = glbAsset('heron.glb', [listingFinding(others)]);
      // What `writeSarif` writes is a log.
      const log = JSON.parse(
        writeSarif(sampleReport([asset]), SAMPLE_RULES, sarifOptions()),
      ) as Log;
      return log.runs[0]?.results?.[0];
    };
    const result = resultOf(3);
    // Twins are mended each by itself, which `locations` is not for (3.27.12).
    expect(result?.locations).toHaveLength(1);
    expect(result?.relatedLocations?.map(({ id }) => id)).toEqual([1, 2, 3]);
    expect(
      result?.relatedLocations?.map(
        ({ logicalLocations }) => logicalLocations?.[0]?.fullyQualifiedName,
      ),
    ).toEqual(PATHS);
    expect(result?.message.text).toMatch(/Also at "body\/feather;0", .*;2"\.$/);
    // The identity of a result hangs on its rule and place alone.
    expect(result?.partialFingerprints).toEqual(resultOf(0)?.partialFingerprints);
    const many = resultOf(1200);
    expect((many?.locations?.length ?? 0) + (many?.relatedLocations?.length ?? 0)).toBe(1000);
    expect(resultOf(0)).not.toHaveProperty('relatedLocations');
  });
});
