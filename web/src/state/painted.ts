// Lets the screen answer a tap before the work it set off is done.

/** A browser that paints nothing for whatever reason is not waited for longer than this. */
const LONGEST_MS = 500;

/** Resolves once the browser has painted what stands on the page now. */
export function painted(): Promise<void> {
  // A page that is not to be seen is not painted.
  if (document.visibilityState === 'hidden') return Promise.resolve();
  return new Promise((done) => {
    const late = setTimeout(done, LONGEST_MS);
    requestAnimationFrame(() => {
      // The frame is made after these callbacks: a task of its own comes after it.
      setTimeout(() => {
        clearTimeout(late);
        done();
      });
    });
  });
}
