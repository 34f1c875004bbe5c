// Of several pages of this device only one at a time acts under a name.

/** Acts when no other page acts under this name. A browser without locks, as
    one that does not trust the address, acts at once: the program's revisions
    still keep two pages apart. */
export async function inTurn(name: string, act: () => Promise<void>, locks = (navigator as Partial<Navigator>).locks): Promise<void> {
  if (!locks) return act();
  let begun = false;
  try {
    await locks.request(`evenfall.${name}`, () => {
      begun = true;
      return act();
    });
  } catch (error) {
    if (begun) throw error;
    await act(); // the browser gives no locks here
  }
}
