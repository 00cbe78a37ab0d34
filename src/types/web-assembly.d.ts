/** The little of WebAssembly that is used here; the full declarations come with the DOM, which the engine must not see. */
declare namespace WebAssembly {
  interface Memory { readonly buffer: ArrayBuffer; grow(pages: number): number }
  function validate(bytes: Uint8Array): boolean;
  function instantiate(bytes: Uint8Array, imports: Record<string, Record<string, unknown>>): Promise<{ instance: { exports: unknown } }>;
}
