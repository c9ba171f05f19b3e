import type { Page } from 'playwright-core';

/** A box on the canvas, CSS pixels. */
export interface PixelBox {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** What a person sees of the canvas, at one device pixel a CSS pixel. */
export interface Seen {
  /** Colour of the background, which the corner shows. */
  readonly paper: readonly number[];
  /** The box around all that is not background. */
  readonly ink: PixelBox | null;
  /** The colour that is farthest from the background. */
  readonly strongest: readonly number[];
  /** Pixels of the colour asked for, in the box asked for. */
  readonly count: number;
}

/**
 * Looks at the canvas as the browser paints the page: at the mesh alone, or with what is drawn over it.
 * `rgb` and `box` say which pixels to count.
 */
export async function look(
  page: Page,
  what: 'mesh' | 'all',
  rgb: readonly number[] = [],
  box: PixelBox | null = null,
): Promise<Seen> {
  const over = page.locator('.view-over');
  await over.evaluate(setVisibility, what === 'mesh' ? 'hidden' : 'visible');
  const png = await page.locator('.view-canvas').screenshot();
  await over.evaluate(setVisibility, 'visible');
  // The browser decodes its own picture: the page's policy lets images be data.
  const url = `data:image/png;base64,${png.toString('base64')}`;
  return page.evaluate(measure, { url, rgb, box });
}

// Both run in the page, whose types the tests do not have.
const setVisibility = (element: unknown, value: string): void => {
  (element as { style: { visibility: string } }).style.visibility = value;
};

interface Asked {
  readonly url: string;
  readonly rgb: readonly number[];
  readonly box: PixelBox | null;
}

const measure = async ({ url, rgb, box }: Asked): Promise<Seen> => {
  interface Canvas {
    width: number;
    height: number;
    getContext(kind: '2d'): {
      drawImage(image: unknown, x: number, y: number): void;
      getImageData(x: number, y: number, w: number, h: number): { data: Uint8ClampedArray };
    };
  }
  const { Image, document } = globalThis as unknown as {
    Image: new () => { src: string; width: number; height: number; decode(): Promise<void> };
    document: { createElement(name: 'canvas'): Canvas };
  };
  const image = new Image();
  image.src = url;
  await image.decode();
  const { width, height } = image;
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [width, height];
  const context = canvas.getContext('2d');
  context.drawImage(image, 0, 0);
  const { data } = context.getImageData(0, 0, width, height);
  // Rounded corners and the border of the stage are no part of the drawing.
  const [inset, inkSteps, sameSteps] = [8, 8, 8];
  const at = (x: number, y: number): number[] => {
    const start = 4 * (y * width + x);
    return [data[start] ?? 0, data[start + 1] ?? 0, data[start + 2] ?? 0];
  };
  const off = (a: readonly number[], b: readonly number[]): number =>
    Math.max(...a.map((value, i) => Math.abs(value - (b[i] ?? 0))));
  const paper = at(inset, inset);
  let [left, top, right, bottom, count, most] = [Infinity, Infinity, -Infinity, -Infinity, 0, 0];
  let strongest = paper;
  for (let y = inset; y < height - inset; y++)
    for (let x = inset; x < width - inset; x++) {
      const colour = at(x, y);
      const inBox = box && x >= box.left && x < box.right && y >= box.top && y < box.bottom;
      if (inBox && off(rgb, colour) < sameSteps) count++;
      const strength = off(colour, paper);
      if (strength > most) [most, strongest] = [strength, colour];
      if (strength < inkSteps) continue;
      [left, right] = [Math.min(left, x), Math.max(right, x + 1)];
      [top, bottom] = [Math.min(top, y), Math.max(bottom, y + 1)];
    }
  const ink = left < right ? { left, top, right, bottom } : null;
  return { paper, ink, strongest, count };
};
