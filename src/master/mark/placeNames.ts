const PLACE =
  /^GPS|Geo(?:tag|location|position)|Latitude|Long[ti]*tude|Altitude|Coordinates|^Location|ISO6709|(?:Recording|Composition)Location|^City|^Sub-?location|^Province|^State$|^Country|ContentLocation|WorldRegion|Landmark|PlaceName|^Place$|^GeoTiff|^ModelT(?:iePoint|ransform)/i;

/** Where something lies in the picture, or how a file is laid out, is no place on earth. */
const NO_PLACE = /^Subject(?:Location|Area)|OffsetLocation|^LocationOf|GPSInfo$|GPSVersionID/i;

/** A point as ISO 6709, annex H, writes it: +46.7512+009.8412+1834/ */
const POINT = /^[+-]\d{2,6}(?:\.\d+)?[+-]\d{3,7}(?:\.\d+)?(?:[+-]\d+(?:\.\d+)?)?(?:CRS\w*)?\/$/;

/** Whether a tag of that name, without spaces, or of that value tells a place. */
export function tellsPlace(named: string, value?: unknown): boolean {
  // As ExifTool calls the texts of a movie's track.
  const name = named.replace(/^Track\d+/, '');
  if (PLACE.test(name) && !NO_PLACE.test(name)) return true;
  return typeof value === 'string' && POINT.test(value.trim());
}

/** RECORDING_LOCATION as RecordingLocation: as ExifTool names tags. */
export const inOneWord = (name: string): string =>
  name
    .split(/[^A-Za-z0-9]+/u)
    .map((part) => part.charAt(0).toUpperCase() + part.slice(1))
    .join('');
