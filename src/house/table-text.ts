import { UsageError } from '../asset/errors.js';

/** A text with how its letters were stored. */
export interface TableText {
  /** Without a byte order mark. */
  readonly text: string;
  readonly encoding: 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252';
}

/**
 * The text of a table that a spreadsheet may have written: UTF-8, UTF-16 with its byte order mark, else
 * the letters of Windows in western countries (WHATWG Encoding, windows-1252). Throws UsageError for what
 * is no text.
 *
 * @param what What it is and the path as the user knows it.
 * @param kind What it should be saved as.
 */
export function decodeTable(bytes: Uint8Array, what: string, kind = 'CSV'): TableText {
  const encoding = encodingOf(bytes);
  const text = new TextDecoder(encoding).decode(bytes);
  if (text.includes('\0')) throw new UsageError(`${what} is not a text file; save it as ${kind}`);
  return { text, encoding };
}

function encodingOf(bytes: Uint8Array): TableText['encoding'] {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return 'utf-16le';
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return 'utf-16be';
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes);
    return 'utf-8';
  } catch {
    return 'windows-1252';
  }
}
