"""The agency's copy: a workbook that a reviewer opens first, the precise archive, a map, a README and checksums."""
