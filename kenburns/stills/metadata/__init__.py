"""What a photograph's file says of itself besides its pixels: Exif, IPTC-IIM and XMP."""
