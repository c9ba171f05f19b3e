import { numbersIn, readSvg } from '../draw/drawn.js';

/** What is wrong with a drawing: XML 1.0 as libxml2 reads it, and numbers that have an end. */
export function pictureFaults(name: string, svg: string): string[] {
  let numbers: string[];
  try {
    numbers = numbersIn(readSvg(svg));
  } catch (error) {
    return [`the ${name} is no XML: ${String(error)}`];
  }
  const odd = numbers.find((number) => !Number.isFinite(Number(number)));
  return odd === undefined ? [] : [`the ${name} is drawn with the number ${odd}`];
}

/** Numbers that a page hands to its viewer: none is missing, and packed ones have an end. */
export function pageDataFaults(data: string): string[] {
  const stack: [path: string, value: unknown][] = [['', JSON.parse(data)]];
  for (let next = stack.pop(); next !== undefined; next = stack.pop()) {
    const [path, value] = next;
    // JSON has no NaN and no Infinity: what was one is null.
    if (value === null) return [`the viewer is handed null at ${path}`];
    if (typeof value !== 'object') continue;
    if (isPackedFloats(value)) {
      const at = floatsOf(value.base64).findIndex((number) => !Number.isFinite(number));
      if (at !== -1) return [`the viewer is handed a number that is none at ${path}, place ${at}`];
    } else for (const [key, inner] of Object.entries(value)) stack.push([`${path}/${key}`, inner]);
  }
  return [];
}

function isPackedFloats(value: object): value is { base64: string } {
  return 'type' in value && value.type === 'f32' && 'base64' in value;
}

function floatsOf(base64: string): Float32Array {
  const bytes = Uint8Array.from(Buffer.from(base64, 'base64'));
  return new Float32Array(bytes.buffer);
}
