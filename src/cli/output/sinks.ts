import { UsageError } from '../../asset/errors.js';
import { PartFile } from '../../batch/part-file.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import type { Format } from './format.js';
import { explainWriting, writeDocument, writeText } from './write-output.js';

/** Where the text of a report goes, piece by piece. */
export interface Sink {
  write(text: string): Promise<void>;
  finish(): void;
  discard(): void;
}

export function streamSink({ stdout }: Io, { isUnescaped = false }: Format): Sink {
  const put = isUnescaped ? writeText : writeDocument;
  return {
    write: async (text) => (text === '' ? undefined : put(stdout, text)),
    // Standard output is not ours to close, and what is written is written.
    finish: () => undefined,
    discard: () => undefined,
  };
}

/**
 * A file that is there whole or not at all: written beside its place, then moved onto it, with `over`
 * also onto a file that is there. `shown` is the path as the user knows it.
 */
export function fileSink(path: string, shown: string, over: boolean): Sink {
  let part: PartFile | null = null;
  const discard = (): void => part?.discard();
  const guarded = (work: (opened: PartFile) => void): void => {
    try {
      part ??= new PartFile(path);
      work(part);
    } catch (error) {
      discard();
      throw new UsageError(`${visible(shown)} cannot be written: ${explainWriting(error)}`);
    }
  };
  // That a place cannot be written to is reported before anything is checked.
  guarded((probe) => probe.discard());
  part = null;
  return {
    async write(text) {
      if (text !== '') guarded((opened) => opened.write(Buffer.from(text)));
    },
    finish: () => guarded((opened) => void opened.moveTo(path, over)),
    discard,
  };
}
