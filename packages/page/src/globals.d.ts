/** The hashing worker, bundled, as text; the build puts it in. */
declare module 'firmtally:worker' {
  const source: string;
  export default source;
}
