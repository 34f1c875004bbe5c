// Go's own glue, copied from its tool chain by the build; it sets globalThis.Go.
export {};
