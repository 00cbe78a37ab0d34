/**
 * Reads server-sent events out of pieces of bytes that may break anywhere, also inside a letter.
 * Comments are skipped; several data lines are joined by line ends, as the HTML standard says.
 */
export function eventStreamReader(onEvent: (kind: string, data: string) => void): (bytes: Uint8Array) => void {
  const decoder = new TextDecoder();
  let waiting = '';
  return (bytes) => {
    waiting += decoder.decode(bytes, { stream: true });
    for (let end = waiting.indexOf('\n\n'); end >= 0; end = waiting.indexOf('\n\n')) {
      const block = waiting.slice(0, end);
      waiting = waiting.slice(end + 2);
      let kind = 'message';
      const data: string[] = [];
      for (const line of block.split('\n')) {
        if (line.startsWith('event:')) kind = line.slice(6).trim();
        else if (line.startsWith('data:')) data.push(line.slice(5).replace(/^ /, ''));
      }
      if (data.length > 0) onEvent(kind, data.join('\n'));
    }
  };
}
