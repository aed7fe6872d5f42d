"""Reads jobs into generated models, sends them to a running service and reads the answers by models."""

import sys
from pathlib import Path

import httpx
from pydantic import ValidationError

from models import EmitterRadiator, FlowTemperaturesReport, Job, Problem, ProposalReport

url, *job_files = sys.argv[1:]
questions: list[tuple[str, type[ProposalReport] | type[FlowTemperaturesReport]]] = [
    ("/v1/proposal", ProposalReport),
    ("/v1/flow-temperatures", FlowTemperaturesReport),
]
for job_file in job_files:
    job = Job.model_validate_json(Path(job_file).read_text(encoding="utf-8"))
    body = job.model_dump_json(by_alias=True, exclude_unset=True)
    for path, report in questions:
        answer = httpx.post(url + path, content=body, headers={"Content-Type": "application/json"}, timeout=60)
        assert answer.status_code == 200, answer.text
        read = report.model_validate_json(answer.text)
        assert read.reference == job.reference, (read.reference, job.reference)

refused = httpx.post(url + "/v1/price", json={"schema": 1}, timeout=60)
problem = Problem.model_validate_json(refused.text)
assert refused.status_code == 422 and problem.errors, refused.text

radiator = EmitterRadiator(kind="radiator")
assert radiator.kind == "radiator"
try:
    EmitterRadiator.model_validate({"kind": "fan_convector"})
except ValidationError:
    print(f"models: {len(job_files)} jobs and their answers")
else:
    raise AssertionError("a model took another kind than its own")
