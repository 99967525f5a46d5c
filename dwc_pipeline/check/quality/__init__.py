"""Published data-quality tests of the draft Biodiversity Data Quality standard, run without a network.

`quality_response` answers one test on one record, `quality_responses` many tests on a table. Tests whose authority
lies on the network answer EXTERNAL_PREREQUISITES_NOT_MET and say so. These are implementations of single tests;
no use case of the draft is complete without its network authorities, so none is claimed.
"""

from dwc_pipeline.check.quality.registry import QualityTest, quality_tests
from dwc_pipeline.check.quality.response import Response, ResponseStatus
from dwc_pipeline.check.quality.run import quality_response, quality_responses

__all__ = ["QualityTest", "Response", "ResponseStatus", "quality_response", "quality_responses", "quality_tests"]
