/** A page in words, without script or style, for whoever comes without the token. `reason` is ours, never the request's. */
export function refusalPage(reason: string): string {
  return `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="color-scheme" content="light dark"><title>Rungwise</title><h1>Rungwise</h1><p>${reason}</p></html>`;
}
