import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'esbuild';
import { repository } from './source-copy.js';

type ParseAction = typeof import('@actions/workflow-parser/actions/action-parser')['parseAction'];
type ParseWorkflow =
  typeof import('@actions/workflow-parser/workflows/workflow-parser')['parseWorkflow'];
type Trace = import('@actions/workflow-parser/templates/trace-writer').TraceWriter;

const ENTRY = `
export { parseAction } from '@actions/workflow-parser/actions/action-parser';
export { parseWorkflow } from '@actions/workflow-parser/workflows/workflow-parser';
export { NoOperationTraceWriter } from '@actions/workflow-parser/templates/trace-writer';
`;

/**
 * What GitHub's own reader of actions and workflows has to say against a text: nothing if it is well
 * formed. Source: npm @actions/workflow-parser (MIT), in which GitHub publishes both schemas. It
 * imports them without saying that they are JSON, which Node refuses, hence the bundle.
 */
export async function githubForms(): Promise<Record<'action' | 'workflow', Reader>> {
  const folder = mkdtempSync(join(tmpdir(), 'trysquare-forms-'));
  try {
    const outfile = join(folder, 'forms.mjs');
    const stdin = { contents: ENTRY, resolveDir: repository };
    await build({ stdin, bundle: true, format: 'esm', platform: 'node', outfile });
    // What ENTRY exports, typed by the modules it exports from.
    const { parseAction, parseWorkflow, NoOperationTraceWriter } = (await import(outfile)) as {
      parseAction: ParseAction;
      parseWorkflow: ParseWorkflow;
      NoOperationTraceWriter: new () => Trace;
    };
    const reader = (parse: ParseAction | ParseWorkflow): Reader => {
      return (content) =>
        parse({ name: 'file.yml', content }, new NoOperationTraceWriter())
          .context.errors.getErrors()
          .map((error) => error.message);
    };
    return { action: reader(parseAction), workflow: reader(parseWorkflow) };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

type Reader = (content: string) => string[];
