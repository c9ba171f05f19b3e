import { UsageError } from '../../asset/errors.js';
import { PartFile } from '../../batch/part-file.js';
import { visible } from '../../report/visible.js';
import type { Io } from '../io.js';
import type { Format, Target } from './format.js';
import { why, writeDocument, writeText } from './write-output.js';

/** Where the text of a report goes, piece by piece. */
export interface Sink {
  write(text: string): Promise<void>;
  finish(): void;
  discard(): void;
}

export class StreamSink implements Sink {
  private readonly io: Io;
  private readonly put: typeof writeText;

  constructor(io: Io, { isUnescaped = false }: Format) {
    this.io = io;
    this.put = isUnescaped ? writeText : writeDocument;
  }

  write(text: string): Promise<void> {
    return text === '' ? Promise.resolve() : this.put(this.io.stdout, text);
  }

  finish(): void {
    // Standard output is not ours to close.
  }

  discard(): void {
    // What is written is written.
  }
}

/** A file that is there whole or not at all: written beside its place, then moved onto it. */
export class FileSink implements Sink {
  private readonly target: Target;
  private readonly path: string;
  private readonly over: boolean;
  private part: PartFile | null = null;

  constructor(target: Target, over: boolean) {
    this.target = target;
    this.path = target.path ?? '';
    this.over = over;
    // A place that cannot be written to is told before anything is checked.
    this.guarded(() => new PartFile(this.path).discard());
  }

  async write(text: string): Promise<void> {
    if (text !== '') this.guarded((part) => part().write(Buffer.from(text)));
  }

  finish(): void {
    this.guarded((part) => part().moveTo(this.path, this.over));
  }

  discard(): void {
    this.part?.discard();
  }

  private guarded(work: (part: () => PartFile) => void): void {
    try {
      work(() => {
        this.part ??= new PartFile(this.path);
        return this.part;
      });
    } catch (error) {
      this.discard();
      throw new UsageError(`${visible(this.target.shown)} cannot be written: ${why(error)}`);
    }
  }
}
