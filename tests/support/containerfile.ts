export interface Instruction {
  readonly name: string;
  readonly words: string[];
}

/** Those of the Dockerfile reference. */
const KNOWN = [
  'ADD',
  'ARG',
  'CMD',
  'COPY',
  'ENTRYPOINT',
  'ENV',
  'EXPOSE',
  'FROM',
  'HEALTHCHECK',
].concat(['LABEL', 'ONBUILD', 'RUN', 'SHELL', 'STOPSIGNAL', 'USER', 'VOLUME', 'WORKDIR']);

/**
 * The stages of a Containerfile, each from its FROM on. Throws at a line that is no instruction, at a
 * first one other than ARG or FROM, and at a copy from a stage that is not there.
 */
export function readContainerfile(text: string): Instruction[][] {
  const stages: Instruction[][] = [];
  const names: string[] = [];
  for (const line of text
    .replace(/^\s*#.*\n/gm, '')
    .replace(/\\\n/g, ' ')
    .split('\n')) {
    if (line.trim() === '') continue;
    const [name = '', ...words] = line.trim().split(/\s+/);
    if (!KNOWN.includes(name) || words.length === 0) throw new Error(`no instruction: ${line}`);
    if (name === 'FROM') {
      stages.push([]);
      if (words[1] === 'AS') names.push(words[2] ?? '');
    }
    const from = /^--from=(.+)$/.exec(words[0] ?? '')?.[1];
    if (from !== undefined && !names.includes(from)) throw new Error(`no stage ${from}: ${line}`);
    const stage = stages.at(-1);
    if (stage !== undefined) stage.push({ name, words });
    else if (name !== 'ARG') throw new Error(`before the first FROM: ${line}`);
  }
  return stages;
}
