/** A path with forward slashes, as reports write them; on other systems a backslash is a letter. */
export function slashes(path: string): string {
  return process.platform === 'win32' ? path.replace(/\\/g, '/') : path;
}
