// postject brings no types.
declare module 'postject' {
  /** Puts a resource into an ELF, Mach-O or PE file, and flips the fuse that tells Node to look for it. */
  export function inject(
    filename: string,
    resourceName: string,
    resourceData: Buffer,
    options: { readonly sentinelFuse: string },
  ): Promise<void>;
}
