/**
 * Starts what drawing needs of the system (an X server, where there is neither display nor graphics card), which
 * can be on its way while a scene is read. What goes wrong there shows when it is needed.
 */
export async function beginDrawing(): Promise<void> {
  const { beginBackend } = await import('../render/backend.js');
  beginBackend().catch(() => {});
}
