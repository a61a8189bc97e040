import random, math
from tests.test_recompute import *
def test_it(bench, tmp_path):
    seed=14
    choose = random.Random(seed)
    chosen = dict(zip(recompute.KNOWN, choose.choice(CHOICES), strict=True))
    said = {"source": "the mill", "by": bench.ann, "at": NOON}
    with writing(bench.engine) as connection:
        for name, value in chosen.items():
            mills.add_convention(connection, bench.mill, name=name, value=value, since=date(2026, 6, 1), **said)
        other = choose.choice(recompute.KNOWN["suspended_solids"])
        mills.add_convention(connection, bench.mill, name="suspended_solids", value=other, since=date(2026, 6, 7), **said)
        load_history(connection, bench.season, season(choose, 1 - 0.04 * (seed % 4), bench.ann.id))
    with reading(bench.engine) as connection:
        make_archive(connection, "2026", tmp_path / "season.zip")
    files = unpacked(tmp_path / "season.zip")
    T = {name[5:-4]: table(files, name[5:-4]) for name in files if name.startswith("data/")}
    print(chosen, other)
    measures = {row["name"]: row for row in T["measures"]}
    rows = recompute.sheets(T, measures)
    inf=[recompute.conventions(T, r["day"]) for r in rows]
    made=[recompute.tonnes(r,c) for r,c in zip(rows,inf)]
    whole=recompute.with_estimates(rows,made,measures)
    g=[recompute.tonnes(r,c) for r,c in zip(whole,inf)]
    ours=[recompute.first(a["fibre_in_cane"],b["fibre_in_cane"]) for a,b in zip(made,g)]
    th={(r["day"],r["shift"]):(r["value"],r["state"]) for r in T["figures"] if r["record"]=="shift" and r["name"]=="fibre_in_cane"}
    k=[]
    for r,o,a in zip(rows,ours,made):
        print(r["day"],o,a["fibre_in_cane"], [v for (d,s),v in th.items() if d==r["day"]], {n:r[n] for n in ("bagasse","bagasse_pol","bagasse_moisture","bagasse_brix","mixed_juice_suspended_solids","mixed_juice")})
    assert 0
