# Writes student_t.csv: quantiles of Student's t by mpmath 1.3 at 30 digits.
# python3 student_t.py > student_t.csv
from mpmath import mp, mpf, betainc, findroot

mp.dps = 30

def below(t, df):
    return 1 - betainc(mpf(df) / 2, mpf(1) / 2, 0, df / (df + t * t), regularized=True) / 2

print("p,df,t")
for p in ("0.95", "0.975", "0.995"):
    for df in (2, 3, 4, 5, 6, 9, 10, 19, 30, 99, 999):
        t = findroot(lambda x: below(x, df) - mpf(p), (mpf("1.2"), mpf("12")), solver="ridder")
        print(f"{p},{df},{mp.nstr(t, 15)}")
