// Source: OASIS, Static Analysis Results Interchange Format (SARIF) 2.1.0 plus errata 01.
import type { Graph, Location, Node, Result, Run } from 'sarif';
import type { SarifTarget } from '../../src/report/sarif.js';

/** Breaches of the standard's text that the schema lets pass, each with its section. */
export function textFaults(run: Run, target: SarifTarget): string[] {
  const results = run.results ?? [];
  const locations = [
    ...results.flatMap((result) => result.locations ?? []),
    ...(run.invocations ?? []).flatMap((invocation) =>
      (invocation.toolExecutionNotifications ?? []).flatMap((item) => item.locations ?? []),
    ),
    ...(run.graphs ?? []).flatMap((graph) =>
      (graph.nodes ?? []).flatMap((node) => (node.location === undefined ? [] : [node.location])),
    ),
  ];
  return [
    ...results.flatMap((result) => resultFaults(result, run)),
    ...messagesOf(run).flatMap(messageFaults),
    ...suppressionFaults(results),
    ...locations.flatMap((location) => locationFaults(location, run, target)),
    ...artifactFaults(run),
    ...(run.graphs ?? []).flatMap(graphFaults),
    ...runFaults(run),
  ];
}

function resultFaults(result: Result, run: Run): string[] {
  const faults: string[] = [];
  const isFault = (result.kind ?? 'fail') === 'fail';
  if (isFault === (result.level === 'none'))
    faults.push(`3.27.10 level ${result.level} beside kind ${result.kind ?? 'fail'}`);
  if (!isFault && result.rank !== undefined) faults.push('3.27.25 a rank beside no fault');
  const rule = run.tool.driver.rules?.[result.ruleIndex ?? -1];
  if (rule?.id !== result.ruleId)
    faults.push(`3.27.6 rule index ${result.ruleIndex} is not ${result.ruleId}`);
  return faults;
}

/** Every message of a run, and every text of its rules. */
function messagesOf(run: Run): string[] {
  const rules = run.tool.driver.rules ?? [];
  const texts = [
    ...(run.results ?? []).map((result) => result.message.text),
    ...(run.invocations ?? []).flatMap((invocation) =>
      (invocation.toolExecutionNotifications ?? []).map((item) => item.message.text),
    ),
    ...(run.graphs ?? []).flatMap((graph) => [
      graph.description?.text,
      ...allNodes(graph.nodes ?? []).map((node) => node.label?.text),
    ]),
    ...rules.flatMap((rule) => [
      rule.shortDescription?.text,
      rule.fullDescription?.text,
      rule.help?.text,
    ]),
  ];
  return texts.flatMap((text) => (text === undefined ? [] : [text]));
}

function messageFaults(text: string): string[] {
  return [
    ...(/[{}]/.test(text.replaceAll('{{', '').replaceAll('}}', ''))
      ? ['3.11.5 a single brace in a message']
      : []),
    ...(text.includes('](') ? ['3.11.6 a link in a message'] : []),
  ];
}

function suppressionFaults(results: readonly Result[]): string[] {
  const given = results.filter((result) => result.suppressions !== undefined).length;
  return given === 0 || given === results.length
    ? []
    : [`3.27.23 suppressions on ${given} of ${results.length} results`];
}

function locationFaults(location: Location, run: Run, target: SarifTarget): string[] {
  const faults: string[] = [];
  for (const { index, ...own } of location.logicalLocations ?? []) {
    const cached = run.logicalLocations?.[index ?? -1];
    const agrees = Object.entries(own).every(
      ([key, value]) =>
        cached !== undefined && Object.entries(cached).some(([k, v]) => k === key && v === value),
    );
    if (cached === undefined || !agrees) faults.push(`3.33.3 logical location ${index}`);
  }
  const { artifactLocation, region } = location.physicalLocation ?? {};
  if (artifactLocation === undefined) return faults;
  const artifact = run.artifacts?.[artifactLocation.index ?? -1];
  if (artifact === undefined) faults.push(`3.4.5 artifact ${artifactLocation.index}`);
  else if (artifact.location?.uri !== artifactLocation.uri)
    faults.push(`3.4.2 ${artifactLocation.uri} is not artifact ${artifactLocation.index}`);
  if (!isRelativeReference(artifactLocation.uri ?? ''))
    faults.push(`3.4.3 no relative reference: ${artifactLocation.uri}`);
  if (region === undefined || artifact === undefined) return faults;
  const hasText = region.startLine !== undefined || region.charOffset !== undefined;
  const hasBytes = region.byteOffset !== undefined;
  if (!hasText && !hasBytes) faults.push('3.30.1 a region of nothing');
  if (hasText && hasBytes) faults.push('3.30.1 text and bytes that cannot be the same');
  // Services want a line for every file; that target says so, and steps over the standard here.
  const isBinary = artifact.encoding === undefined;
  if (hasText && isBinary && target === 'standard') faults.push('3.30.1 a line in a binary file');
  const end = (region.byteOffset ?? 0) + (region.byteLength ?? 0);
  if (artifact.length !== undefined && end > artifact.length)
    faults.push(`3.30.12 byte ${end} of ${artifact.length}`);
  return faults;
}

/** RFC 3986, 4.2 and appendix A, without query and fragment; no path of its own root. */
function isRelativeReference(uri: string): boolean {
  const character = "(?:[A-Za-z0-9._~!$&'()*+,;=@-]|%[0-9A-F]{2})";
  return new RegExp(`^${character}+(?:/(?:${character}|:)*)*$`).test(uri);
}

function artifactFaults(run: Run): string[] {
  const artifacts = run.artifacts ?? [];
  return artifacts.flatMap((artifact, index) => {
    const { parentIndex, location, offset } = artifact;
    if (parentIndex === undefined)
      return location?.uri === undefined ? [`3.24.2 artifact ${index} is nowhere`] : [];
    const parent = artifacts[parentIndex];
    if (parent === undefined) return [`3.24.3 parent ${parentIndex} of ${artifacts.length}`];
    return offset === undefined ? [`3.24.4 artifact ${index} has no offset`] : [];
  });
}

function graphFaults(graph: Graph): string[] {
  const nodes = allNodes(graph.nodes ?? []).map((node) => node.id);
  const edges = (graph.edges ?? []).map((edge) => edge.id);
  const known = new Set(nodes);
  return [
    ...(known.size === nodes.length ? [] : ['3.40.2 two nodes of one id']),
    ...(new Set(edges).size === edges.length ? [] : ['3.41.2 two edges of one id']),
    ...(graph.edges ?? []).flatMap((edge) => [
      ...(known.has(edge.sourceNodeId) ? [] : [`3.41.4 edge from ${edge.sourceNodeId}`]),
      ...(known.has(edge.targetNodeId) ? [] : [`3.41.5 edge to ${edge.targetNodeId}`]),
    ]),
  ];
}

function allNodes(nodes: readonly Node[]): Node[] {
  return nodes.flatMap((node) => [node, ...allNodes(node.children ?? [])]);
}

function runFaults(run: Run): string[] {
  const faults: string[] = [];
  const logical = run.logicalLocations ?? [];
  for (const { parentIndex } of logical)
    if (parentIndex !== undefined && logical[parentIndex] === undefined)
      faults.push(`3.33.8 parent ${parentIndex} of ${logical.length}`);
  for (const invocation of run.invocations ?? []) {
    const failed = (invocation.toolExecutionNotifications ?? []).some((n) => n.level === 'error');
    if (failed && invocation.executionSuccessful) faults.push('3.20.14 an error beside success');
  }
  const hasText = (run.artifacts ?? []).some(
    (artifact) => artifact.parentIndex === undefined && artifact.encoding !== undefined,
  );
  const hasColumn = (run.results ?? []).some(
    (result) => result.locations?.[0]?.physicalLocation?.region?.startColumn !== undefined,
  );
  if (run.columnKind === undefined && hasColumn) faults.push('3.14.27 columns of no kind');
  if (run.columnKind !== undefined && !hasText) faults.push('3.14.27 columns without a text');
  return faults;
}
