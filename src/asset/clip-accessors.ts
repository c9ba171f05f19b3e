import { parseDocument } from './parse-document.js';

/** The accessors of all clips, which are not read of an asset without a skin unless they are asked for. */
export function clipAccessors(json: unknown): readonly number[] {
  const { animations } = parseDocument(json);
  return animations.flatMap(({ channels }) =>
    channels.flatMap(({ input, output }) => [input, output]),
  );
}
