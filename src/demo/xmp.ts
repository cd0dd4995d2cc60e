/** The picture's marks (Photo Sphere XMP, namespace GPano): a whole, level, equirectangular sphere. */
export function valleyXmp(width: number): string {
  const height = width / 2;
  return `<?xpacket begin="\uFEFF" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about="" xmlns:GPano="http://ns.google.com/photos/1.0/panorama/"
    GPano:ProjectionType="equirectangular" GPano:UsePanoramaViewer="True"
    GPano:FullPanoWidthPixels="${width}" GPano:FullPanoHeightPixels="${height}"
    GPano:CroppedAreaImageWidthPixels="${width}" GPano:CroppedAreaImageHeightPixels="${height}"
    GPano:CroppedAreaLeftPixels="0" GPano:CroppedAreaTopPixels="0"
    GPano:PoseHeadingDegrees="0" GPano:PosePitchDegrees="0" GPano:PoseRollDegrees="0"/>
 </rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>`;
}
