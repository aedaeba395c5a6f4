/** Path in the workspace -> content. */
export type GeneratedFiles = Map<string, string>;
