"""Asks a running service by generated functions: heat loss, a refusal, a quote kept and read."""

import json
import sys
from pathlib import Path

from functions import Client
from functions.api.design import heat_loss, price
from functions.api.quotes import create_quote, read_quote
from functions.models import EmitterRadiator, HeatLossReport, Job, PriceReport, Problem, Quote

url, job_file = sys.argv[1:]
client = Client(base_url=url, raise_on_unexpected_status=True)
job = Job.from_dict(json.loads(Path(job_file).read_text(encoding="utf-8")))

emitters = job.rooms["living"].emitters
assert emitters, "the example has an emitter"
for emitter in emitters.additional_properties.values():
    assert isinstance(emitter, EmitterRadiator), emitter
    assert emitter.kind == "radiator"

loss = heat_loss.sync(client=client, body=job, workings=True)
assert isinstance(loss, HeatLossReport), loss
assert loss.reference == job.reference and loss.workings
assert loss.heat_loss.dwelling.design_heat_loss_w > 0

cost = price.sync(client=client, body=job)
assert isinstance(cost, PriceReport), cost
assert cost.price.gross >= cost.price.net

job.rooms["living"].floor_area_m2 = -1
refused = price.sync_detailed(client=client, body=job)
assert refused.status_code == 422 and isinstance(refused.parsed, Problem), refused
assert refused.parsed.errors and refused.parsed.errors[0].pointer == "/rooms/living/floor_area_m2"
job.rooms["living"].floor_area_m2 = 24

kept = create_quote.sync(client=client, body=job)
assert isinstance(kept, Quote), kept
again = read_quote.sync(client=client, id=kept.id)
assert isinstance(again, Quote) and again.to_dict() == kept.to_dict()
print("functions: heat loss, price, refusal and quote")
