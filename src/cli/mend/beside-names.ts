/** `heron.glb` is kept as `heron.glb.before-mend`, which no search for assets takes for one. */
export function backupOf(path: string): string {
  return `${path}.before-mend`;
}

/** The file that lists which joints were renamed. */
export function namesFile(target: string): string {
  return `${withoutEnding(target)}.names.json`;
}

export function withoutEnding(path: string): string {
  return path.replace(/\.[^./\\]*$/, '');
}
