import { BRIDGE_NAME, type Bridge } from '../../src/contract/bridge.js';
import type { Host } from '../../src/contract/host.js';
import { hostOverMessages } from './host-over-messages.js';
import { messagesOverBridge } from './messages-over-bridge.js';
import { messagesOverHttp } from './messages-over-http.js';

/** Electron's bridge where the preload laid one, else the loopback server this page came from. */
export function chooseHost(): Host {
  const bridge = (window as unknown as Record<string, Bridge | undefined>)[BRIDGE_NAME];
  if (bridge) return hostOverMessages('desktop', messagesOverBridge(bridge), (handle) => bridge.pathOf(handle));
  return hostOverMessages('browser', messagesOverHttp());
}
