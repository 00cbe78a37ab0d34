import type { ReactNode } from 'react';
import { Button, Dialog, Heading, Modal, ModalOverlay } from 'react-aria-components';
import { useStore, useWindowState } from '../state/window-context.js';
import type { WindowState } from '../state/window-state.js';

/** One of the window's dialogs, shown while the state names it; Escape and a press outside close it. */
export function WindowDialog({ name, title, children }: { name: NonNullable<WindowState['dialog']>; title: string; children: ReactNode }) {
  const store = useStore();
  const { dialog } = useWindowState();
  return (
    <ModalOverlay className="overlay" isDismissable isOpen={dialog === name} onOpenChange={(open) => { if (!open) store.set({ dialog: null }); }}>
      <Modal className="modal">
        <Dialog className="dialog">
          <Heading slot="title">{title}</Heading>
          {children}
          <Button className="close" onPress={() => store.set({ dialog: null })}>Close</Button>
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}
