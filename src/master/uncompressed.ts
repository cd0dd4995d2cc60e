/** Of libvips's own format (.v): a header of this many bytes, then the samples, then the metadata. */
export const V_HEADER = 64;
