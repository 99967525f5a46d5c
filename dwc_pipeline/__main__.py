"""`python -m dwc_pipeline`."""

from dwc_pipeline.cli import main

if __name__ == "__main__":
    main()
