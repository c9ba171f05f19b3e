/** What reports say of the tool besides its name and version. */
export const TOOL_INFO = {
  shortDescription: 'Checks character rigs stored as glTF 2.0 skins, by measurement.',
} as const;
