/** Written into reports as `tool`; a test keeps it equal to package.json. */
export const TOOL = { name: 'firmtally', version: '0.1.0' } as const;
