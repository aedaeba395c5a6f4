/** Where text goes. `write` resolves once the reader has taken it, so that memory stays bounded. */
export interface Output {
  write(text: string): Promise<void>;
}

/** Where a command's result goes. */
export interface ResultOutput extends Output {
  /** Whether any of it is where others see it. */
  readonly begun: boolean;
  /** Called once all is written, and only then. */
  finish(): Promise<void>;
  /** There is no result: what --output names stays as it is. */
  discard(): void;
}
