"""Each picture has its numbers as a file, the same that are drawn."""

from __future__ import annotations

import csv
import io


def rows(response) -> list[dict[str, str]]:
    assert response.status_code == 200
    assert response.headers["Content-Type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(response.content.decode("utf-8-sig"))))


def test_the_cold_curves(demo_farm, client):
    found = rows(client.get(f"/days/{demo_farm['closed']}/cold.csv"))
    assert {row["what"] for row in found} >= {"reading", "expected"}
    assert all(-5 < float(row["temperature_degC"]) < 45 for row in found)
    page = client.get(f"/days/{demo_farm['closed']}/cold/").content.decode()
    assert f"/days/{demo_farm['closed']}/cold.csv" in page


def test_the_cost_of_a_pound_adds_up_to_its_layers(demo_farm, client):
    page = client.get("/money/").content.decode()
    year = page.split("/pound.csv")[0].rsplit("/", 1)[1]
    for by in ("lot", "day", "species"):
        found = rows(client.get(f"/money/{year}/pound.csv?by={by}"))
        assert found
        for row in found:
            layers = [float(v) for name, v in row.items() if name.endswith(", cents")]
            assert abs(sum(layers[:-1]) - layers[-1]) <= 1
    assert client.get("/money/1999/pound.csv").status_code == 404
