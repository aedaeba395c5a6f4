/** The workers, bundled, as text; the build puts them in. */
declare module 'firmtally:task-worker' {
  const source: string;
  export default source;
}
declare module 'firmtally:hash-worker' {
  const source: string;
  export default source;
}
