import { XmlDocument, XmlElement } from 'libxml2-wasm';
import { rules } from '../../rules/index.js';
import { checkAssetBytes } from '../../src/check/check-asset.js';
import { defaultSettings, limitsOfAll, type Settings } from '../../src/check/settings.js';
import { makeScene } from '../../src/draw/make-scene.js';
import type { Scene } from '../../src/draw/scene.js';
import type { AssetReport } from '../../src/report/report-types.js';
import type { ApprovedAsset } from '../../src/rig/types.js';

export interface Drawable {
  readonly scene: Scene;
  readonly report: AssetReport;
}

/** What an asset is drawn from, compared with an approved one or with none. Throws when it cannot be read. */
export async function drawable(
  bytes: Uint8Array,
  name = 'heron.glb',
  change: Partial<Settings> = {},
  approved: ApprovedAsset | null = null,
): Promise<Drawable> {
  const scenes: Scene[] = [];
  const settings = { ...defaultSettings(rules), ...change };
  const report = await checkAssetBytes(bytes, {
    settings,
    name,
    approved,
    onModel: (model) =>
      void scenes.push(makeScene(model, settings.wanted, approved, limitsOfAll(settings))),
  });
  const [scene] = scenes;
  if (scene === undefined) throw new Error(report.unreadable?.reason ?? 'no scene was made');
  return { scene, report };
}

/** An element as an XML reader that is not ours sees it. */
export interface ReadElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  /** All text in it. */
  readonly text: string;
}

/** Every element of a document, in document order. Throws when it is not well-formed. */
export function readSvg(xml: string): ReadElement[] {
  const document = XmlDocument.fromString(xml);
  try {
    return document
      .find('//*')
      .filter((node) => node instanceof XmlElement)
      .map((element) => ({
        name: element.name,
        attributes: Object.fromEntries(element.attrs.map(({ name, value }) => [name, value])),
        text: element.content,
      }));
  } finally {
    document.dispose();
  }
}

/** Whether an element has a class. */
export function hasClass({ attributes }: ReadElement, name: string): boolean {
  return (attributes.class ?? '').split(' ').includes(name);
}

/** Every number in attributes that place or size something. */
export function numbersIn(elements: readonly ReadElement[]): string[] {
  const placing = ['x', 'y', 'x1', 'y1', 'x2', 'y2', 'cx', 'cy', 'r', 'rx', 'width', 'height', 'd'];
  return elements.flatMap(({ attributes }) =>
    [...placing, 'points', 'viewBox', 'transform', 'stroke-width', 'dx', 'font-size'].flatMap(
      (key) => attributes[key]?.match(/NaN|Infinity|undefined|null|-?[\d.]+(?:e[-+]?\d+)?/g) ?? [],
    ),
  );
}
